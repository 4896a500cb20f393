import { LONGEST_MOVE_TENTHS } from "../stitches";
import { countOf } from "../checks/check";
import { type DesignMend, forRuns, heldRecords, unchanged, withoutRecords } from "./mend";

const SHORTEST_TENTHS = 4;

/** Drops needle points nearer than 0.4 mm to the one before, so that two stitches become one. */
export const mergeShort: DesignMend = {
  code: "merge-short",
  title: "Merge stitches under 0.4 mm",
  about: "Leaves out needle points that stand too near to the one before; all others stay where they are.",
  mends: ["stitches-too-short", "stitches-without-length", "dense-spot"],
  mend: ({ design }) => {
    const { kind, x, y } = design;
    const held = heldRecords(design);
    const dropped = new Uint8Array(kind.length);
    let changed = 0;
    const near = (a: number, b: number): boolean =>
      (x[a]! - x[b]!) ** 2 + (y[a]! - y[b]!) ** 2 < SHORTEST_TENTHS ** 2;
    const fits = (a: number, b: number): boolean =>
      Math.abs(x[a]! - x[b]!) <= LONGEST_MOVE_TENTHS && Math.abs(y[a]! - y[b]!) <= LONGEST_MOVE_TENTHS;
    forRuns(kind, (from, to) => {
      const kept = [from];
      for (let i = from + 1; i < to; i++) {
        if (held[i] === 0 && near(kept.at(-1)!, i) && fits(kept.at(-1)!, i + 1)) {
          dropped[i] = 1;
          changed++;
          continue;
        }
        // A point that must stay pushes those out that stand too near before it.
        while (
          kept.length > 1 &&
          held[kept.at(-1)!] === 0 &&
          near(kept.at(-1)!, i) &&
          fits(kept.at(-2)!, i)
        ) {
          dropped[kept.pop()!] = 1;
          changed++;
        }
        kept.push(i);
      }
    });
    const says = `${countOf(changed, "needle point")} left out`;
    return changed === 0
      ? unchanged(design, "no stitch is under 0.4 mm")
      : { design: withoutRecords(design, dropped), changed, says };
  },
};
