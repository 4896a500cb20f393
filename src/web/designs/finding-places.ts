import type { shapes } from "#contract";

export interface FindingSpot {
  readonly xTenths: number;
  readonly yTenths: number;
}

/** Every place a finding tells of, the worst first; none where it is about the whole. */
export function placesOfFinding({ at, places }: shapes.FindingShape): readonly FindingSpot[] {
  if (places && places.length > 0) return places;
  return at?.xTenths === undefined || at.yTenths === undefined
    ? []
    : [{ xTenths: at.xTenths, yTenths: at.yTenths }];
}
