import { expect, it } from "vitest";
import type { Day } from "../today/day";
import { needlesLeft } from "./needles-left";

const day = (needles: readonly number[]) =>
  ({
    blocks: new Map([["job", { machineId: "tern", run: { needles } }]]),
    machines: new Map([
      ["tern", { threaded: ["white", "navy", "red"] }],
      ["gannet", { threaded: [null, "red", null, "navy"] }],
    ]),
  }) as unknown as Day;
const parts = [
  { part: 1, threadId: "navy" },
  { part: 2, threadId: "sand" },
];
const asked = { jobId: "job", partsOfDesign: 3, parts };

it("a second run has its plan's needles on the planned machine, and another machine's own on another", () => {
  const planned = [{ part: 1, needle: 2 }, { part: 2, needle: 3 }]; // prettier-ignore
  expect(needlesLeft(day([1, 2, 3]), { ...asked, machineId: "tern" })).toEqual(planned);
  // Planned since it was taken up again: the plan has the remaining parts only.
  expect(needlesLeft(day([2, 3]), { ...asked, machineId: "tern" })).toEqual(planned);
  // On another machine the thread that is nowhere has to be put on first.
  expect(needlesLeft(day([1, 2, 3]), { ...asked, machineId: "gannet" })).toEqual([
    { part: 1, needle: 4 },
    { part: 2, needle: null },
  ]);
});
