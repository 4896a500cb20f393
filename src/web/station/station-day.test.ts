import { describe, expect, it } from "vitest";
import { mainAct } from "./acts";
import { seenFloor } from "./floor-state";
import { scanned, stationDay } from "./station-day";
import { planned, said, START_MS, toldOf } from "./test-day";

const seen = (told: Parameters<typeof seenFloor>[2] = [], minute = 0) =>
  seenFloor(said(), planned, told, START_MS + minute * 60_000);

const ada = { pieceId: "piece-wide", jobId: "wide", machineId: "tern" };
const onTern = [
  toldOf("ev-h", 1, { kind: "hooped", pieceId: "piece-wide", jobId: "wide", hoop: null }),
  toldOf("ev-l", 2, { kind: "loaded", ...ada }),
  toldOf("ev-s", 3, { kind: "started", ...ada }),
];

describe("a station's place in the day", () => {
  it("has the next piece, what to hoop meanwhile and by whom, and when this one is ready", () => {
    const day = stationDay(seen(), "gannet", null);
    expect(day.step).toMatchObject({ do: "thread", jobId: "juno" });
    expect(day.next).toMatchObject({ startMs: START_MS + 1_200_000, job: { jobId: "bram" } });
    expect(day.hooping).toMatchObject({ hand: "Ness", job: { jobId: "bram" } });
    // Finished at 9:21, to leave by the end of the day's eight hours.
    expect(day.ready).toMatchObject({ readyAtMs: START_MS + 1_260_000, spareS: 8 * 3600 - 1260 });
  });

  it("asks for nothing that is planned much later, but says when", () => {
    const early = stationDay(seen([], -60), "gannet", null);
    expect(early.plannedAtMs).toBe(START_MS);
    expect(stationDay(seen([], -20), "gannet", null).plannedAtMs).toBeNull();
  });

  it("takes a piece that was scanned before its turn, where its needles are laid out", () => {
    expect(scanned(seen(), "gannet", { code: "nq-juno" }).found).toBe("now");
    expect(scanned(seen(), "gannet", { id: "piece-bram" }).found).toBe("later");
    expect(scanned(seen(), "gannet", { id: "piece-wide" })).toMatchObject({ found: "elsewhere", machineId: "tern" }); // prettier-ignore
    expect(scanned(seen(), "gannet", { id: "nobody" }).found).toBe("none");
    const day = stationDay(seen(), "gannet", "bram");
    // Red and gold are on already: it is hooped at once.
    expect(day.step).toEqual({ do: "hoop", jobId: "bram", waits: null });
    expect(day.next?.job.jobId).toBe("juno");
  });

  it("shows how far the machine is, and where it stops for thread", () => {
    const day = stationDay(seen(onTern, 3 + 5), "tern", null);
    expect(day.step).toMatchObject({ do: "sewing", leftS: 200, nextStop: [{ needle: 1, from: "red", to: "teal" }] }); // prettier-ignore
    expect(day.sewn).toEqual({ share: 0.5, stops: [500 / 600] });
    expect(stationDay(seen(), "gannet", null).sewn).toBeNull();
  });

  it("goes through a stop: it stopped, thread, start again, done", () => {
    const act = (told: typeof onTern, minute: number) => {
      const floor = seen(told, minute);
      const day = stationDay(floor, "tern", null);
      const run = floor.floor.plan.runs.find((one) => one.job === day.job?.jobId) ?? null;
      return mainAct(day.step, { machineId: "tern", machine: "Tern", job: day.job, run, chore: null, threadCode: (id) => id })!; // prettier-ignore
    };
    const told = [...onTern];
    const words: string[] = [];
    for (let minute = 12; minute < 20 && words.at(-1) !== "Done"; minute++) {
      const one = act(told, minute);
      words.push(one.words);
      told.push(toldOf(`ev-${minute}`, minute, one.draft));
    }
    expect(words).toEqual(["It stopped for thread", "Threaded", "Start", "Done"]);
  });
});
