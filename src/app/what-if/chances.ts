import type { whatIf } from "#contract";
import { type Chances, learnedBreaks } from "#core/floor";
import type { Store } from "#store";
import { believed, type Learnt } from "../floor/learning";
import type { Records } from "../plan-gathering";

/** What chance does in this shop, each figure with where it comes from. */

type Assumption = whatIf.Assumption;

/** Common practice, no source (TRADE.md): hooping 30 to 60 s about 45 s, 90 to 180 s about 150 s. */
const USUAL_HAND_SPREAD = 0.25;
/** Nobody has measured it: speed is set at the machine, what varies is slowing down on long stitches. */
const SEWING_SPREAD = 0.08;
/** Common practice, no source (TRADE.md). */
const MEND_S = 90;
const BOBBIN_EVERY_STITCHES = 30_000;
const BOBBIN_S = 40;
/** A guess, used until so many pieces are done that the studio's own share says more. */
const GUESSED_SPOILED = 0.01;
const ENOUGH_PIECES = 100;
/** From so many measurements on the shop's own spread is taken. */
const ENOUGH_TIMES = 20;
/** The 5 % points of a normal distribution lie so many standard deviations apart. */
const NINE_OF_TEN = 2 * 1.6449;

export interface ChancesFound {
  readonly chances: Chances;
  readonly assumptions: readonly Assumption[];
}

export async function chancesOf(db: Store["db"], records: Records, learnt: Learnt): Promise<ChancesFound> {
  const hands = handSpread(records, learnt);
  const breaks = learnedBreaks(learnt.breaks, { machineId: null, threadId: null, fixed: null });
  const spoiled = await spoiledShare(db);
  const every = 1000 / breaks.estimate;
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  return {
    chances: {
      handTimes: { kind: "lognormal", spread: hands.spread },
      sewing: { kind: "lognormal", spread: SEWING_SPREAD },
      breakEveryStitches: every,
      mendS: MEND_S,
      bobbinEveryStitches: BOBBIN_EVERY_STITCHES,
      bobbinS: BOBBIN_S,
      spoiledShare: spoiled.share,
    },
    assumptions: [
      {
        what: "How much the hands' times vary about their mean",
        value: `${Math.round(100 * hands.spread)} % (standard deviation)`,
        source: hands.count === null ? "default" : "measured",
        count: hands.count,
      },
      {
        what: "How much sewing times vary",
        value: `${Math.round(100 * SEWING_SPREAD)} %`,
        source: "guessed",
        count: null,
      },
      {
        what: "Broken threads",
        value: `one in ${Math.round(every / 100) * 100} stitches, ${MEND_S} s to mend`,
        source: breaks.source === "default" ? "default" : "measured",
        count: breaks.source === "default" ? null : Math.round(breaks.breaks),
      },
      {
        what: "Bobbins",
        value: `one lasts ${BOBBIN_EVERY_STITCHES} stitches, ${BOBBIN_S} s to change`,
        source: "default",
        count: null,
      },
      {
        what: "Spoiled pieces, made again",
        value: percent(spoiled.share),
        source: spoiled.count === null ? "guessed" : "measured",
        count: spoiled.count,
      },
    ],
  };
}

/** Of the hoop kind with the most measured hoopings: nine of ten single ones lie between two values. */
function handSpread(records: Records, learnt: Learnt): { spread: number; count: number | null } {
  const found = [...records.hoops.keys()]
    .flatMap((id) => believed(learnt, records, "hooping", id) ?? [])
    .filter(({ source, observations }) => source === "learned" && observations >= ENOUGH_TIMES)
    .sort((a, b) => b.observations - a.observations)[0];
  if (!found || found.single.low <= 0) return { spread: USUAL_HAND_SPREAD, count: null };
  const sigma = Math.log(found.single.high / found.single.low) / NINE_OF_TEN;
  return { spread: Math.sqrt(Math.expm1(sigma * sigma)), count: found.observations };
}

async function spoiledShare(db: Store["db"]): Promise<{ share: number; count: number | null }> {
  const rows = await db
    .selectFrom("pieces")
    .select(({ fn }) => ["state", fn.countAll<number>().as("count")])
    .where("state", "in", ["done", "packed", "shipped", "spoiled"])
    .groupBy("state")
    .execute();
  const count = rows.reduce((sum, row) => sum + Number(row.count), 0);
  const spoiled = Number(rows.find(({ state }) => state === "spoiled")?.count ?? 0);
  return count < ENOUGH_PIECES ? { share: GUESSED_SPOILED, count: null } : { share: spoiled / count, count };
}
