import { countOf } from "../checks/check";
import { CLOTHS } from "../cloth";
import { LONGEST_MOVE_TENTHS, STITCH, StitchRecorder } from "../stitches";
import { type DesignMend, unchanged } from "./mend";

/** Where over successive stitches the splits wander, as a share of a piece, so that no line shows. */
const WANDER = [0.05, -0.2, 0.15, -0.08, 0.22, -0.14, 0.1];

/** Splits satin stitches wider than the cloth bears, and any stitch longer than one record of a machine file. */
export const splitLong: DesignMend = {
  code: "split-long",
  title: "Split long stitches",
  about:
    "Puts needle points into stitches over 7 mm in satin (5 mm on pile) and over 12.1 mm anywhere; none is moved.",
  mends: ["column-too-wide", "stitches-too-long"],
  mend: ({ design, context, columns }) => {
    const { kind, x, y } = design;
    const satinTenths = CLOTHS[context.cloth ?? "woven"].splitSatinMm * 10;
    const inSatin = columns();
    const recorder = new StitchRecorder();
    let changed = 0;
    let next = 0;
    for (let i = 0; i < kind.length; i++) {
      const sewn = i > 0 && kind[i] === STITCH && kind[i - 1] === STITCH;
      if (sewn) {
        while (next < inSatin.length && inSatin[next]!.to < i) next++;
        const satin = next < inSatin.length && inSatin[next]!.from < i;
        const pieces = piecesOf(
          x[i]! - x[i - 1]!,
          y[i]! - y[i - 1]!,
          satin ? satinTenths : LONGEST_MOVE_TENTHS,
        );
        if (pieces > 1) {
          changed++;
          const shift = satin ? WANDER[changed % WANDER.length]! : 0;
          for (let n = 1; n < pieces; n++) {
            const share = (n + shift) / pieces;
            recorder.stitch(x[i - 1]! + (x[i]! - x[i - 1]!) * share, y[i - 1]! + (y[i]! - y[i - 1]!) * share);
          }
        }
      }
      recorder.put(kind[i]!, x[i]!, y[i]!);
    }
    return changed === 0
      ? unchanged(design, "no stitch is too long")
      : { design: recorder.done(), changed, says: `${countOf(changed, "stitch", "stitches")} split` };
  },
};

/** How many pieces, so that even the longest of them, the split wandering, holds the limit. */
function piecesOf(dx: number, dy: number, limitTenths: number): number {
  const length = Math.sqrt(dx * dx + dy * dy);
  if (length <= limitTenths + 0.5) return 1;
  let pieces = 2;
  while ((length * 1.22) / pieces > limitTenths - 1) pieces++;
  return pieces;
}
