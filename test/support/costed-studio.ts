import type { costs } from "#contract";
import { demoMotif, writeMachineFile } from "#core/stitch";
import { hoopBody, machineBody, placementBody, productBody, stockBody, threadBody } from "./catalogue";
import type { TestProgram } from "./program";

/** A studio with one product whose every cost is known once its figures are kept. */

const entered = (value: number) => ({ value, from: "entered" as const });
const settings: costs.CostSettings = {
  wageCentsPerHour: entered(1500),
  allowance: { share: 0.09, of: "of-work", from: "common-practice" },
  overhead: { key: "per-piece", rate: 100, from: "entered" },
  energyCentsPerKwh: entered(30),
  taxShare: entered(0.2),
  spoiledShare: { value: 0.02, from: "guessed" },
  packing: { cents: 80, seconds: 120, from: "entered" },
  prepareS: entered(600),
  stitchesPerBobbin: null,
  threadingsPerRun: { value: 1.5, from: "guessed" },
  channels: [{ id: "web", name: "Web shop", feeShare: 0.03, feeCents: 30, from: "entered" }],
  margin: 0.3,
  rounding: { stepCents: 50, endCents: 0, way: "up" },
  tiers: [{ from: 10, margin: 0.2 }],
  rush: { share: 0.25, cents: 500 },
  quoteDays: 30,
  ordering: null,
};

export async function costedStudio(studio: Pick<TestProgram, "ask">) {
  const made = async (name: "hoops.create" | "threads.create" | "stock.create", body: object) =>
    (await studio.ask(name, { body })).id;
  const hoop = await made("hoops.create", hoopBody());
  const thread = await made("threads.create", threadBody());
  const blank = await made("stock.create", stockBody());
  const backing = await made(
    "stock.create",
    stockBody({ kind: "backing", code: "CUT", name: "Cut-away", unit: "sheet" }),
  );
  const bobbin = await made("stock.create", stockBody({ kind: "bobbin", code: "BOB", name: "Bobbins" }));
  const machine = (
    await studio.ask("machines.create", {
      body: machineBody({ hoopIds: [hoop], bought: { on: "2024-01-10", priceCents: 1_000_000 } }),
    })
  ).id;
  const bytes = writeMachineFile(demoMotif("anchor", { widthMm: 60 }).stitches, "ANCHOR");
  const { brought } = await studio.ask("bringInDesigns", { query: { name: "anchor.dst" }, body: bytes });
  const design = brought[0]!.designId;
  const version = (await studio.ask("readDesign", { params: { id: design } })).versions[0]!;
  await studio.ask("chooseThreads", {
    params: { id: brought[0]!.versionId },
    body: { threadIds: version.parts.map(() => thread) },
  });
  const product = (
    await studio.ask("products.create", {
      body: productBody({
        blankId: blank,
        placements: [placementBody({ designId: design, hoopId: hoop, backingId: backing })],
      }),
    })
  ).id;
  const ids = { hoop, thread, blank, backing, bobbin, machine, design, product };
  const keepSettings = (own: Partial<costs.CostSettings> = {}, ifMatch = 0) =>
    studio.ask("keepCostSettings", { body: { ...settings, ...own } }, { ifMatch });
  const keepFigures = () =>
    studio.ask("keepCostFigures", {
      body: {
        figures: [
          {
            subjectId: ids.blank,
            version: 0,
            of: "stock",
            figure: { of: "stock", priceCents: 1200, amount: 1, from: "entered" },
          },
          {
            subjectId: ids.backing,
            version: 0,
            of: "stock",
            figure: { of: "stock", priceCents: 1400, amount: 100, from: "entered" },
          },
          {
            subjectId: ids.bobbin,
            version: 0,
            of: "stock",
            figure: { of: "stock", priceCents: 3900, amount: 144, from: "entered" },
          },
          {
            subjectId: ids.thread,
            version: 0,
            of: "thread",
            figure: { of: "thread", priceCents: 2000, metres: 5000, from: "entered" },
          },
          {
            subjectId: ids.machine,
            version: 0,
            of: "machine",
            figure: {
              of: "machine",
              priceCents: null,
              lifeHours: entered(10_000),
              resaleCents: entered(100_000),
              serviceCents: entered(38_000),
              serviceEveryHours: entered(500),
              repairCentsPerHour: entered(24),
              powerKw: entered(0.4),
            },
          },
        ],
      },
    });
  return { ids, version, keepSettings, keepFigures };
}
