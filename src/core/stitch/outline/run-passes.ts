import { SEWING } from "../cloth";
import type { ThinLine } from "../medial/medial";
import type { Sewer } from "../sewer";
import type { Place } from "../spine";

/** A line too narrow for satin, sewn forth, back and forth as its width asks. */
export function runPasses(sewer: Sewer, { places, passes }: ThinLine, move: (place: Place) => Place): void {
  const line = evenly(places.map(move), SEWING.runStitchMm);
  const [x, y] = sewer.place;
  const far = ([px, py]: Place): number => Math.hypot(px - x, py - y);
  if (sewer.hasSewn && far(line.at(-1)!) < far(line[0]!)) line.reverse();
  sewer.moveTo(line[0]![0], line[0]![1]);
  for (let pass = 0; pass < passes; pass++) {
    sewer.sewAlong(line.slice(1));
    line.reverse();
  }
}

function evenly(places: readonly Place[], stitchMm: number): Place[] {
  const sums = [0];
  for (let i = 1; i < places.length; i++)
    sums.push(
      sums[i - 1]! + Math.hypot(places[i]![0] - places[i - 1]![0], places[i]![1] - places[i - 1]![1]),
    );
  const total = sums.at(-1)!;
  const count = Math.max(1, Math.ceil(total / stitchMm));
  const out: Place[] = [];
  for (let n = 0, i = 1; n <= count; n++) {
    const s = (total * n) / count;
    while (i < places.length - 1 && sums[i]! < s) i++;
    const t = (s - sums[i - 1]!) / (sums[i]! - sums[i - 1]! || 1);
    const [a, b] = [places[i - 1]!, places[i]!];
    out.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
  }
  return out;
}
