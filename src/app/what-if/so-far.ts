import type { whatIf } from "#contract";
import type { askedOf } from "./queue";
import type { Outcome } from "./season";

/** A question while it is played: a first answer from the seasons that all its shops have played, which sharpens. */

/** Below so many seasons limits say next to nothing. */
const FIRST_SEASONS = 3;

type Asked = Awaited<ReturnType<typeof askedOf>>;

/** Null where too little is played for any answer; a ladder is told whole only. */
export function soFar(
  asked: Asked,
  isDone: boolean,
): { readonly asked: Asked; readonly seasons: number } | null {
  if (isDone) return { asked, seasons: asked.seasons };
  if (asked.question.kind === "what-next") return null;
  const { candidates, seasonsOf } = asked;
  // What would bind then comes last: the change itself is told before.
  const first = candidates.filter(({ role }) => role.as !== "more");
  const whole = Array.from({ length: asked.seasons }, (_, season) => season).filter((season) =>
    first.every(({ number }) => seasonsOf.get(number)?.has(season) === true),
  );
  if (whole.length < FIRST_SEASONS) return null;
  const played = new Map(
    candidates.map(({ number }): [number, Outcome[]] => [
      number,
      whole.flatMap((season) => seasonsOf.get(number)?.get(season) ?? []),
    ]),
  );
  return { asked: { ...asked, played }, seasons: whole.length };
}

/** How long the empty start was felt in what was played, beside the days that are left out for it. */
export function warmedUp({ played, basis }: Asked): whatIf.Assumption {
  const days = (played.get(0) ?? [])
    .flatMap(({ transientDays }) => transientDays ?? [])
    .sort((a, b) => a - b);
  const felt = days[Math.floor(days.length / 2)];
  const left = basis.warmDays;
  return {
    what: "The empty start",
    value:
      felt === undefined
        ? `${left} days are left out for it; these seasons are too short to tell whether that is enough (MSER-5)`
        : felt <= left
          ? `is over after ${felt} days in the middle season (MSER-5); ${left} are left out`
          : `is felt for ${felt} days in the middle season (MSER-5), longer than the ${left} that are left out: the shop has more to do than it gets done, or orders change with the season`,
    source: "measured",
    count: days.length,
  };
}
