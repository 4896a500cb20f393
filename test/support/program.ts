import { openProgram, type Call, type Program, type ProgramAsked } from "#app";
import type { LiveEvent } from "#contract";
import { seededChance } from "#core/base";

/** Wednesday 25 November 2026, 09:00 in Dublin. */
export const TEST_NOW_MS = Date.UTC(2026, 10, 25, 9, 0, 0);

export interface TestProgram extends Program {
  /** What open pages were told. */
  readonly told: LiveEvent[];
  /** What was logged, level first. */
  readonly logged: { level: "info" | "warn" | "error"; message: string; detail: object | undefined }[];
  readonly clock: { nowMs: number };
  /** A call as a page at the studio makes it; `notes` collects what the answer noted. */
  call(with_?: Partial<Call>): Call & { readonly notes: { version?: number; changeId?: string | null } };
  /** Sets up a studio called Test Quay in Europe/Dublin. */
  setUp(): Promise<void>;
}

/** A whole program on a real database in memory (or in `data`), with a clock that stands still and seeded ids. */
export async function testProgram(
  asked: Partial<ProgramAsked> & { readonly seed?: number; readonly setUp?: boolean } = {},
): Promise<TestProgram> {
  const { seed = 1, setUp = false, ...own } = asked;
  const clock = { nowMs: TEST_NOW_MS };
  const chance = seededChance(seed);
  const ids = chance.split();
  const logged: TestProgram["logged"] = [];
  const logAt = (level: "info" | "warn" | "error") => (message: string, detail?: object) =>
    void logged.push({ level, message, detail });
  const program = await openProgram({
    data: "memory",
    version: "0.0.0-test",
    nowMs: () => clock.nowMs,
    chance,
    idBelow: (bound) => ids.below(bound),
    planning: { threads: 1, byItself: false },
    log: { info: logAt("info"), warn: logAt("warn"), error: logAt("error") },
    ...own,
  });
  const told: LiveEvent[] = [];
  program.context.listen((event) => void told.push(event));
  const test: TestProgram = {
    ...program,
    told,
    logged,
    clock,
    call(with_ = {}) {
      const notes: { version?: number; changeId?: string | null } = {};
      return {
        who: "Mara",
        ifMatch: null,
        origin: "http://127.0.0.1:4700",
        phoneOrigin: "http://127.0.0.1:4700",
        note: (about) => void Object.assign(notes, about),
        signal: new AbortController().signal,
        ...with_,
        notes,
      };
    },
    async setUp() {
      await program.ask("setUpStudio", {
        body: {
          name: "Test Quay",
          timeZone: "Europe/Dublin",
          currency: "EUR",
          lengthUnit: "mm",
          paper: "A4",
        },
      });
    },
  };
  if (setUp) await test.setUp();
  return test;
}
