import { seededChance } from "#core/base";
import {
  checkDesign,
  DEMO_MOTIFS,
  demoMotif,
  designReport,
  letterText,
  readMachineFile,
  STITCH,
  type Stitches,
  writeMachineFile,
} from "#core/stitch";
import { designScene, svgFromScene, threadStrokes } from "#drawing";

/** Median milliseconds of a few calls, the first one thrown away. */
function median(times: number, work: () => unknown): number {
  work();
  const taken = Array.from({ length: times }, () => {
    const start = performance.now();
    work();
    return performance.now() - start;
  }).sort((a, b) => a - b);
  return taken[taken.length >> 1]!;
}

function wander(count: number): Stitches {
  const chance = seededChance(1);
  const x = new Int32Array(count);
  const y = new Int32Array(count);
  for (let i = 1; i < count; i++) {
    x[i] = x[i - 1]! + chance.below(61) - 30 - Math.trunc(x[i - 1]! / 200);
    y[i] = y[i - 1]! + chance.below(61) - 30 - Math.trunc(y[i - 1]! / 200);
  }
  return { kind: new Uint8Array(count).fill(STITCH), x, y };
}

/** Figures of the stitch room, in milliseconds. */
export function benchStitches(print: (line: string) => void = console.log): void {
  const million = wander(1_000_000);
  const bytes = writeMachineFile(million, "MILLION");
  const line = (what: string, ms: number): void =>
    print(`stitch  ${what.padEnd(52)} ${ms.toFixed(1).padStart(8)} ms`);
  line(
    "read a machine file of 1,000,000 records",
    median(7, () => readMachineFile(bytes)),
  );
  line(
    "write it",
    median(5, () => writeMachineFile(million, "MILLION")),
  );
  line(
    "report on it",
    median(5, () => designReport(million, [])),
  );
  line(
    "check it",
    median(5, () => checkDesign(million)),
  );
  line(
    "thread strokes of it for a canvas",
    median(5, () => threadStrokes(million)),
  );
  line(
    "its thumbnail as SVG",
    median(5, () => svgFromScene(designScene(million, [], { detail: "compact" }))),
  );
  line(
    "letter a name of 9 letters at 15 mm",
    median(7, () => letterText("Katharina", { heightMm: 15 })),
  );
  line(
    `make all ${DEMO_MOTIFS.length} pictures of the demo at 80 mm`,
    median(3, () => DEMO_MOTIFS.map((motif) => demoMotif(motif.name, { widthMm: 80 }))),
  );
}

if (process.argv[1]?.endsWith("stitch.ts")) benchStitches();
