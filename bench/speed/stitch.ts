import { seededChance } from "#core/base";
import {
  checkDesign,
  composeStitches,
  DESIGN_MENDS,
  DEMO_MOTIFS,
  demoMotif,
  designReport,
  letterText,
  mendDesign,
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

const THREE_THREADS = Array.from({ length: 200 }, (_, part) => "abc"[part % 3]!);

/** Demo pictures and names side by side until they have 100,000 stitches. */
function hundredThousand(): Stitches {
  const all = [
    ...DEMO_MOTIFS.slice(0, 8).map(({ name }) => demoMotif(name, { widthMm: 90 }).stitches),
    letterText("Maren", { heightMm: 20 }).stitches,
  ];
  const placed = [];
  for (let i = 0, stitches = 0; stitches < 100_000; i++) {
    const one = all[i % all.length]!;
    placed.push({ stitches: one, xTenths: (i % 4) * 900, yTenths: Math.floor(i / 4) * 700 });
    stitches += one.kind.reduce((sum, kind) => sum + (kind === STITCH ? 1 : 0), 0);
  }
  return composeStitches(placed);
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
  const pictures = hundredThousand();
  line(
    "check a design of 100,000 stitches (pictures and names)",
    median(5, () => checkDesign(pictures, { cloth: "pile" })),
  );
  for (const { code } of DESIGN_MENDS)
    line(
      `mend it: ${code}, checks before and after counted in`,
      median(3, () => mendDesign(pictures, [code], { partThreads: THREE_THREADS })),
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
