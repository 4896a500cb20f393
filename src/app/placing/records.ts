import type { Answer, shapes } from "#contract";
import type { PlacementRuleTable, Store, Tables } from "#store";
import { placingRefusals } from "./refusals";

/** Placing's records between the database's rows and what travels, with what counts where nobody has entered it. */

type Reader = Store["db"];
export type Phone = Answer<"addPhone">;
export type TaughtHoop = Answer<"addTaughtHoop">;
export type Placing = Answer<"keepPlacing">;
export type PlacingResult = Answer<"previewPlacing">;
export type RuleOfPlacement = Answer<"readPlacementRule">;
export type MachineSteps = Answer<"machineSteps">["steps"];
export type OwnRule = Pick<RuleOfPlacement, "rule" | "tolerance">;
type Machine = Pick<shapes.MachineBody, "linesUpBy">;

export const phoneOf = (row: Tables["phones"]): Phone => ({
  id: row.id,
  version: row.version,
  archived: row.archived === 1,
  name: row.name,
  lens: (JSON.parse(row.body) as { lens: Phone["lens"] }).lens,
});

export type TaughtBody = Pick<TaughtHoop, "markerIds" | "taught">;

export const taughtHoopOf = (row: Tables["taught_hoops"]): TaughtHoop => ({
  id: row.id,
  version: row.version,
  archived: row.archived === 1,
  hoopId: row.hoop_id,
  label: row.label,
  ...(JSON.parse(row.body) as TaughtBody),
});

/** @throws Refusal placing-phone-unknown */
export async function phoneRow(db: Reader, id: string): Promise<Tables["phones"]> {
  const row = await db.selectFrom("phones").selectAll().where("id", "=", id).executeTakeFirst();
  if (!row)
    throw placingRefusals("placing-phone-unknown", `There is no phone ${id}.`, [
      { field: "phoneId", found: id },
    ]);
  return row as Tables["phones"];
}

/** @throws Refusal placing-hoop-unknown */
export async function taughtHoopRow(db: Reader, id: string): Promise<Tables["taught_hoops"]> {
  const row = await db.selectFrom("taught_hoops").selectAll().where("id", "=", id).executeTakeFirst();
  if (!row)
    throw placingRefusals("placing-hoop-unknown", `There is no taught hoop ${id}.`, [
      { field: "taughtHoopId", found: id },
    ]);
  return row as Tables["taught_hoops"];
}

/**
 * What machines can usually be told (common practice, no source): whole degrees and tenths of mm where a camera or
 * laser helps, nothing by eye. A field as it is entered may be sewn to its edge: it leaves the presser foot its room.
 */
export const usualSteps = ({ linesUpBy }: Machine): MachineSteps => ({
  angleStepDeg: linesUpBy === "eye" ? null : 1,
  shiftStepMm: linesUpBy === "eye" ? null : 0.1,
  footMarginMm: 0,
  laserSpreadMm: 0.3,
});

export async function ownSteps(db: Reader): Promise<ReadonlyMap<string, MachineSteps>> {
  const rows = await db.selectFrom("machine_steps").select(["id", "body"]).execute();
  return new Map(rows.map((row) => [row.id, JSON.parse(row.body) as MachineSteps]));
}

/** Most goods: where a person touches, and within what passes at a glance (common practice, no source). */
export const USUAL_RULE: OwnRule = {
  rule: { rule: "at place", anchor: "middle", turnDeg: 0 },
  tolerance: { mm: 3, degrees: 1.5 },
};

type Rule = OwnRule["rule"];
type Touch = RuleOfPlacement["touch"][number];
type Kind = Touch["oneOf"][number];

const words: Readonly<Record<Kind, string>> = {
  "centre line": "the centre line (a fold, a chalk line) at two places far apart",
  "collar seam": "the collar seam at two places, left and right of the centre",
  "shoulder seam": "the shoulder seam where it meets the neck",
  hem: "the hem at two places far apart",
  edge: "the edge at two places far apart",
  stripe: "one stripe at two places far apart",
  area: "the corners of the area, one after the other",
  place: "the place where the design goes",
};
const least: Readonly<Record<Kind, number>> = {
  "centre line": 2,
  "collar seam": 2,
  "shoulder seam": 1,
  hem: 2,
  edge: 2,
  stripe: 2,
  area: 3,
  place: 1,
};
const needed = (kind: Kind): Touch => ({
  oneOf: [kind],
  leastPoints: least[kind],
  optional: false,
  words: `Touch ${words[kind]}.`,
});
const helpful = (kind: Kind): Touch => ({ ...needed(kind), optional: true });
const straightBy: Touch = {
  oneOf: ["centre line", "stripe", "hem", "edge", "collar seam"],
  leastPoints: 2,
  optional: false,
  words:
    "Touch a line the design is straight by: a centre line, stripe, hem, edge or seam, at two places far apart.",
};

/** What is touched for a rule, in order (core/placing's placementPose asks for these). */
function touchFor(rule: Rule): Touch[] {
  switch (rule.rule) {
    case "below collar":
      return [needed("collar seam"), helpful("centre line")];
    case "chest":
      return [needed("centre line"), needed("shoulder seam")];
    case "along":
      return [needed(rule.mark), ...(rule.alongMm === null ? [helpful("centre line")] : [])];
    case "middle of area":
      return [needed("area"), helpful("centre line")];
    case "at place":
      return [{ ...needed("place"), words: `Touch ${placeWords[rule.anchor]}.` }, straightBy];
  }
}

const placeWords: Readonly<Record<Rule["anchor"], string>> = {
  middle: words.place,
  top: "the place where the middle of the design’s upper side goes",
  bottom: "the place where the middle of the design’s lower side goes",
};

/** The same design straight and measured to the same part of it, on a touched place. */
export const atPlace = ({ anchor, turnDeg }: Rule): Rule => ({ rule: "at place", anchor, turnDeg });

/** A placement's rule as it travels, with what is touched for it. */
export function ruleOf(
  productId: string,
  placementId: string,
  row: Pick<PlacementRuleTable, "body" | "version"> | undefined,
): RuleOfPlacement {
  const own = row ? (JSON.parse(row.body) as OwnRule) : USUAL_RULE;
  return {
    productId,
    placementId,
    ...own,
    areOwn: row !== undefined,
    version: row?.version ?? 0,
    touch: touchFor(own.rule),
    touchPlace: touchFor(atPlace(own.rule)),
  };
}

export const ruleId = (productId: string, placementId: string): string => `${productId}/${placementId}`;

export async function ruleFor(db: Reader, productId: string, placementId: string): Promise<RuleOfPlacement> {
  const row = await db
    .selectFrom("placement_rules")
    .select(["body", "version"])
    .where("id", "=", ruleId(productId, placementId))
    .executeTakeFirst();
  return ruleOf(productId, placementId, row);
}

/** What a placing's `body` holds. */
export interface PlacingBody {
  readonly who: string;
  readonly give: Placing["give"];
  readonly marks: unknown;
  readonly result: PlacingResult;
}

/** Placings of before second photos have no height: null. */
export function bodyOfPlacing(row: Pick<Tables["placings"], "body">): PlacingBody {
  const body = JSON.parse(row.body) as PlacingBody;
  return { ...body, result: { ...body.result, height: (body.result.height as Height | undefined) ?? null } };
}

type Height = PlacingResult["height"];
