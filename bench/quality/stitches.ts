/**
 * `npm run bench quality/stitches [-- --all]`: names in both alphabets measured as docs/models/stitches.md says. By
 * default every third name, about five minutes; `--all` takes every name, height, alphabet and cloth.
 */
import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { Refusal } from "#core/base";
import {
  type Cloth,
  CLOTHS,
  countStitches,
  JUMP,
  type LetteredPiece,
  type LetteringOptions,
  letterText,
  maskOfStrokes,
  measureStitches,
  missedLimits,
  readMachineFile,
  smallestLetterMm,
  STITCH,
  type StitchMetrics,
  type Stitches,
  threadRuns,
  writeMachineFile,
} from "#core/stitch";

const FIRST = "Ada Åse Albert Bea Björn Carl Chloë Dvořák Edda Émile Finn François Gwen Gyula Hanna Ida Inés Jonas Jürgen Kai Katharina Lea Łukasz Mia Max Nils Noël Olivia Øyvind Paul Quentin Rosa René Šárka Sven Theo Tom Una Ulla Vera Viktor Wim Willa Xenia Yara Yves Zoë Żaneta Ģirts Őrs".split(" "); // prettier-ignore
const SECOND = ["", " & Kai", " 2024", " Weiß"];
/** 200 names of our own choosing. */
const NAMES = SECOND.flatMap((second) => FIRST.map((first) => first + second));

const ALPHABETS = ["upright", "flowing"] as const;
const CLOTH_NAMES: readonly Cloth[] = ["woven", "knit", "pile"];
const HEIGHTS = [8, 15, 30];

interface Row {
  pieces: number;
  within: number;
  trims: number;
  needless: number;
  uncut: number;
  stray: number;
  inexact: number;
  /** Names the program itself refuses to sew at this height. */
  refused: number;
  readonly missed: Map<string, number>;
  readonly figures: StitchMetrics[];
}

/** A name as the machine will sew it, and its pieces with the records that sew each, from the move there on. */
function sewnName(
  name: string,
  options: LetteringOptions,
): {
  readonly design: Stitches;
  readonly exact: boolean;
  readonly pieces: readonly [LetteredPiece, Stitches][];
} {
  // prettier-ignore
  const pieces: LetteredPiece[] = [];
  const { stitches, pieceRecords } = letterText(name, { ...options, onPiece: (piece) => pieces.push(piece) });
  const design = readMachineFile(writeMachineFile(stitches, name)).stitches;
  const exact = design.kind.length === stitches.kind.length && !design.x.some((value, i) => value !== stitches.x[i] || design.y[i] !== stitches.y[i]); // prettier-ignore
  const part = (from: number, to: number): Stitches => {
    const at = Math.max(0, from - 1);
    const kind = design.kind.slice(at, to);
    // The record before is where the piece begins: a place, not a stitch.
    kind[0] = JUMP;
    return { kind, x: design.x.slice(at, to), y: design.y.slice(at, to) };
  };
  return { design, exact, pieces: pieces.map((piece, i) => [piece, part(pieceRecords[i]!, pieceRecords[i + 1] ?? design.kind.length)]) }; // prettier-ignore
}

/** Cuts in a design by how far the thread moves: those under 3 mm are needless, moves over 3 mm uncut are wrong. */
export function cutsOf({ kind, x, y }: Stitches): { needless: number; uncut: number } {
  let needless = 0;
  let uncut = 0;
  for (let i = Math.max(1, kind.indexOf(STITCH)); i < kind.length; i++) {
    if (kind[i] !== JUMP || kind[i - 1] === JUMP) continue;
    let to = i;
    while (kind[to + 1] === JUMP) to++;
    const far = Math.hypot(x[to]! - x[i - 1]!, y[to]! - y[i - 1]!) / 10;
    if (to - i + 1 >= 3 && far <= 3) needless++;
    if (to - i + 1 < 3 && far > 3.05) uncut++;
  }
  return { needless, uncut };
}

function rowOf(
  names: readonly string[],
  alphabet: "upright" | "flowing",
  cloth: Cloth,
  heightMm: number,
): Row {
  const row: Row = { pieces: 0, within: 0, trims: 0, needless: 0, uncut: 0, stray: 0, inexact: 0, refused: 0, missed: new Map(), figures: [] }; // prettier-ignore
  for (const name of names) {
    let sewn: ReturnType<typeof sewnName>;
    try {
      sewn = sewnName(name, { heightMm, alphabet, cloth });
    } catch (trouble) {
      if (!(trouble instanceof Refusal)) throw trouble;
      row.refused++;
      if (process.argv.includes("--which")) console.log(`   ${name}: refused: ${trouble.message}`);
      continue;
    }
    const cuts = cutsOf(sewn.design);
    row.trims += countStitches(sewn.design).trims;
    row.needless += cuts.needless;
    row.uncut += cuts.uncut;
    if (!sewn.exact) row.inexact++;
    for (const [piece, stitches] of sewn.pieces) {
      const mask = maskOfStrokes(piece.strokes, { pixelMm: heightMm > 20 ? 0.08 : 0.05, marginMm: 1.2 });
      const metrics = measureStitches(stitches, mask, { pullMm: CLOTHS[cloth].pullMm });
      row.pieces++;
      row.stray += metrics.stray;
      row.figures.push(metrics);
      const missed = missedLimits(metrics);
      if (missed.length === 0) row.within++;
      else if (process.argv.includes("--which")) console.log(`   ${piece.text}: ${missed.join(", ")}`);
      for (const limit of missed) row.missed.set(limit, (row.missed.get(limit) ?? 0) + 1);
    }
  }
  return row;
}

/** The name's picture as dark thread on light cloth, 0.2 mm a pixel, as a portable grey map. */
export function pictureOf(design: Stitches): Uint8Array {
  const runs = threadRuns(design);
  const mask = maskOfStrokes(runs.map((places) => ({ places, halfMm: 0.2 })), { pixelMm: 0.2, marginMm: 5 }); // prettier-ignore
  const head = new TextEncoder().encode(`P5\n${mask.columns} ${mask.rows}\n255\n`);
  const picture = new Uint8Array(head.length + mask.inside.length);
  picture.set(head);
  for (let j = 0; j < mask.rows; j++)
    for (let i = 0; i < mask.columns; i++)
      picture[head.length + (mask.rows - 1 - j) * mask.columns + i] = mask.inside[j * mask.columns + i] ? 30 : 245; // prettier-ignore
  return picture;
}

const plain = (text: string): string =>
  text.replace(/ß/g, "B").replace(/[Łł]/g, "L").replace(/[Øø]/g, "O").normalize("NFD").replace(/[^\x20-\x7e]/g, "").replace(/\s+/g, "").trim(); // prettier-ignore

/** How many names a general text recogniser reads from their pictures; marks on letters aside. */
function legible(names: readonly string[], alphabet: "upright" | "flowing", heightMm: number): string {
  if (spawnSync("tesseract", ["--version"]).status !== 0) return "no tesseract at hand";
  const file = path.join(tmpdir(), `name-${process.pid}.pgm`);
  const unread: string[] = [];
  for (const name of names) {
    writeFileSync(file, pictureOf(letterText(name, { heightMm, alphabet }).stitches));
    const read = spawnSync("tesseract", [file, "stdout", "--psm", "7"], { encoding: "utf8", env: { ...process.env, OMP_THREAD_LIMIT: "1" } }).stdout.trim(); // prettier-ignore
    if (plain(read).toLowerCase() !== plain(name).toLowerCase()) unread.push(`${name} → ${read}`);
  }
  return `${(100 * (1 - unread.length / names.length)).toFixed(1)} % of ${names.length} names read (${unread.slice(0, 6).join("; ")})`; // prettier-ignore
}

function main(): void {
  const all = process.argv.includes("--all");
  const worst = (figures: readonly StitchMetrics[], of: (m: StitchMetrics) => number, pick: (...values: number[]) => number) => figures.map(of).reduce((a, b) => pick(a, b)); // prettier-ignore
  console.log(`alphabet cloth  mm  pieces  within  cover  bare  out%  dense layers  short% at-one  stray  trims needless uncut inexact refused  missed`); // prettier-ignore
  let pieces = 0;
  let within = 0;
  ALPHABETS.forEach((alphabet) => {
    CLOTH_NAMES.forEach((cloth) => {
      const smallest = smallestLetterMm(cloth, alphabet);
      const heights = HEIGHTS.map((heightMm) => Math.max(heightMm, smallest));
      if (smallest > HEIGHTS[0]!) console.log(`${alphabet} ${cloth}: refused below ${smallest} mm`);
      heights.forEach((heightMm) => {
        const names = all ? NAMES : NAMES.filter((_, i) => i % 3 === 0);
        const row = rowOf(names, alphabet, cloth, heightMm);
        pieces += row.pieces;
        within += row.within;
        const f = row.figures;
        const mean = (of: (m: StitchMetrics) => number): number =>
          f.reduce((sum, m) => sum + of(m), 0) / f.length;
        console.log(
          [
            alphabet.padEnd(8),
            cloth.padEnd(5),
            String(heightMm).padStart(3),
            String(row.pieces).padStart(7),
            `${((100 * row.within) / row.pieces).toFixed(1)}%`.padStart(7),
            (100 * mean((m) => m.cover)).toFixed(1).padStart(6),
            worst(f, (m) => m.widestBareMm, Math.max)
              .toFixed(2)
              .padStart(5),
            (100 * worst(f, (m) => m.outside, Math.max)).toFixed(1).padStart(5),
            String(worst(f, (m) => m.densest, Math.max)).padStart(6),
            `${worst(f, (m) => m.layersP99, Math.max)}/${worst(f, (m) => m.layersMost, Math.max)}`.padStart(
              6,
            ),
            (100 * mean((m) => m.short)).toFixed(2).padStart(7),
            String(worst(f, (m) => m.mostAtOnePlace, Math.max)).padStart(6),
            String(row.stray).padStart(6),
            String(row.trims).padStart(6),
            String(row.needless).padStart(8),
            String(row.uncut).padStart(5),
            String(row.inexact).padStart(7),
            String(row.refused).padStart(7),
            ` ${[...row.missed].map(([limit, count]) => `${limit} ${count}`).join(", ")}`,
          ].join(" "),
        );
      });
    });
  });
  console.log(
    `all: ${((100 * within) / pieces).toFixed(2)} % of ${pieces} letters and joined words within the limits`,
  );
  const eight = Array.from({ length: 500 }, (_, i) =>
    FIRST[i % FIRST.length]!.concat("abenorst").slice(0, 8),
  );
  for (const alphabet of ALPHABETS) {
    const start = performance.now();
    for (const name of eight) letterText(name, { heightMm: 15, alphabet });
    console.log(`500 names of 8 letters, ${alphabet}: ${((performance.now() - start) / 1000).toFixed(2)} s`);
  }
  // The recogniser's English model knows no ß, Ł, Ø: they would measure it, not the letters.
  const read = NAMES.filter((name, i) => (all || i % 3 === 0) && !/[ßŁłØø]/.test(name));
  for (const heightMm of [15, 30])
    console.log(`upright at ${heightMm} mm: ${legible(read, "upright", heightMm)}`);
  console.log(`flowing at 15 mm: ${legible(read, "flowing", 15)}`);
}

if (process.argv[1]?.endsWith("stitches.ts")) main();
