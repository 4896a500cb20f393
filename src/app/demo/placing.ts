import { type Chance, Refusal } from "#core/base";
import type { shapes } from "#contract";
import type { DemoCalendar } from "./calendar";
import type { Door } from "./door";
import type { DemoIds } from "./lists";

/**
 * How Ninepenny Quay places: rules of some goods, and by tape measure what Ness and Ivor hooped in the last weeks. Ness
 * hoops the large ones turned to the left, until she takes a board; all invented.
 */

type Tolerance = readonly [mm: number, degrees: number];

/**
 * By product: how its only placement is measured, how exact it must be, and how far from the near side the line it is
 * measured from is hooped, so that the design comes about to the middle.
 */
type DemoRule = readonly [
  product: string,
  rule: Record<string, unknown>,
  tolerance: Tolerance,
  fromNearMm?: number,
];
const rules: readonly DemoRule[] = [
  ["ROBE-A", { rule: "at place" }, [4, 2]],
  ["ROBE-C", { rule: "at place" }, [4, 2]],
  ["TWL-B", { rule: "along", mark: "edge", inMm: 60, anchor: "bottom" }, [4, 1.2], 21],
  ["TWL-H", { rule: "along", mark: "stripe", inMm: 15, anchor: "bottom" }, [3, 1.2], 41],
  ["HAT", { rule: "along", mark: "hem", inMm: 25 }, [3, 1.5], 40],
  ["CUSH", { rule: "at place" }, [2.5, 1]],
];

export async function enterPlacementRules(door: Door, ids: Pick<DemoIds, "products">): Promise<void> {
  for (const [code, rule, [mm, degrees]] of rules)
    await door.ask("setPlacementRule", {
      params: { id: ids.products.get(code)!, placement: `${code.toLowerCase()}-1` },
      body: { own: { rule, tolerance: { mm, degrees } } },
    });
}

/** Placings are told of the season's last days, a few a day; the board comes later. */
const FROM_DAY = 44;
const BOARD_FROM_DAY = 54;
const A_DAY = 4;
const LARGE = { widthMm: 260, heightMm: 200 };
const SIDE = { widthMm: 130, heightMm: 130 };

interface Hooped {
  readonly turnRad: number;
  readonly xMm: number;
  readonly yMm: number;
}

/** About a bell: the mean of four even chances, so that so much is its standard deviation. */
const about = (chance: Chance, mean: number, spread: number): number =>
  mean + spread * Math.sqrt(3) * ([1, 2, 3, 4].reduce((sum) => sum + chance.next(), 0) - 2);

/** The first pieces of a day of the season, placed before they are sewn; `nth` counts its days. */
export async function placeSome(
  door: Door,
  ids: DemoIds,
  chance: Chance,
  on: {
    readonly day: string;
    readonly nth: number;
    readonly calendar: DemoCalendar;
    readonly pieces: readonly shapes.PieceRecord[];
  },
): Promise<void> {
  if (on.nth < FROM_DAY) return;
  const runs = runsOf(on.pieces).slice(0, A_DAY);
  door.setClock(on.calendar.at(on.day, 8 * 60 + 10));
  for (const [at, run] of runs.entries())
    await placeByTape(door, ids, chance, {
      ...run,
      machineId: ids.machines[at % ids.machines.length]!.id,
      aid: on.nth >= BOARD_FROM_DAY ? "board" : null,
    });
}

/** Runs still to be sewn, with their product. */
export const runsOf = (pieces: readonly shapes.PieceRecord[]) =>
  pieces.flatMap(({ productId, jobs }) =>
    jobs.filter(({ sewn }) => !sewn).map((job) => ({ job, productId })),
  );

type RunAsked = ReturnType<typeof runsOf>[number] & {
  readonly machineId: string;
  readonly aid: "board" | null;
};

/** One run by tape, as its product's rule asks; one that would leave its field was hooped again and is not told. */
export async function placeByTape(
  door: Door,
  ids: DemoIds,
  chance: Chance,
  { job, productId, machineId, aid }: RunAsked,
): Promise<void> {
  const isLarge = job.hoopId === ids.hoops.large;
  const who = isLarge ? "Ness" : "Ivor";
  const leanDeg = isLarge && aid === null ? 1.8 : 0.1;
  const hooped = {
    turnRad: (about(chance, leanDeg, aid === null ? 0.7 : 0.35) * Math.PI) / 180,
    xMm: about(chance, 0, 1.5),
    yMm: about(chance, 0, 1.5),
  };
  const rule = await door.ask("readPlacementRule", { params: { id: productId, placement: job.placementId } });
  const code = [...ids.products].find(([, id]) => id === productId)?.[0];
  const fromNearMm = rules.find(([product]) => product === code)?.[3] ?? 0;
  const touches = rule.touch
    .filter((touch) => !touch.optional)
    .map(({ oneOf }) => ({
      kind: oneOf[0]!,
      readings: readingsOf(oneOf[0]!, isLarge ? LARGE : SIDE, hooped, fromNearMm),
    }));
  const body = {
    kind: "first",
    machineId,
    personId: ids.people.get(who)!,
    aid: isLarge ? aid : null,
    seen: { way: "tape", spreadMm: 0.5 },
    touches,
  };
  try {
    await door.ask("keepPlacing", { params: { id: job.id }, body, who });
  } catch (reason) {
    const isPassed = reason instanceof Refusal && ["placing-leaves-field", "placing-not-sure-enough"].includes(reason.code); // prettier-ignore
    if (!isPassed) throw reason;
  }
}

/** What a tape measure reads of a mark on cloth that lies so; whole halves of a mm, as a tape is read. */
function readingsOf(
  kind: string,
  { widthMm, heightMm }: typeof LARGE,
  { turnRad, xMm, yMm }: Hooped,
  fromNearMm: number,
) {
  const halves = (mm: number) => Math.round(2 * mm) / 2;
  const slope = Math.tan(turnRad);
  if (kind === "place")
    return [{ from: "left", alongMm: halves(heightMm / 2 + yMm), distanceMm: halves(widthMm / 2 + xMm) }];
  if (kind === "centre line")
    return [0.1, 0.9].map((share) => ({
      from: "left",
      alongMm: halves(share * heightMm),
      // Up the cloth and turned to the left: the further away, the nearer to the left side.
      distanceMm: halves(widthMm / 2 + xMm - slope * (share - 0.5) * heightMm),
    }));
  return [0.1, 0.9].map((share) => ({
    from: "near",
    alongMm: halves(share * widthMm),
    distanceMm: halves(fromNearMm + yMm + slope * (share - 0.5) * widthMm),
  }));
}
