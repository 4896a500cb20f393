import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { openProgram } from "#app";
import { seededChance } from "#core/base";

/**
 * Names in numbers: 500 different names of 8 letters, each made into a design by one recipe, kept with its machine
 * file in a data folder on the disk. Aim: under 10 s.
 */

const NAMES = 500;
const LETTERS = 8;
const VOWELS = "aeiouy";
const CONSONANTS = "bcdfghjklmnprstvwz";

/** Names that sound like none in particular, all different. */
export function inventedNames(count: number, letters: number): string[] {
  const chance = seededChance(7);
  const names = new Set<string>();
  while (names.size < count) {
    const name = Array.from({ length: letters }, (_, at) => {
      const from = at % 2 === 0 ? CONSONANTS : VOWELS;
      return from[chance.below(from.length)]!;
    }).join("");
    names.add(name[0]!.toUpperCase() + name.slice(1));
  }
  return [...names];
}

export async function benchNames(print: (line: string) => void = console.log): Promise<void> {
  const data = mkdtempSync(path.join(tmpdir(), "spoolwright-names-"));
  const chance = seededChance(1);
  const program = await openProgram({
    data,
    version: "bench",
    nowMs: () => Date.now(),
    chance,
    idBelow: (bound) => chance.below(bound),
    log: { info: () => undefined, warn: () => undefined, error: console.error },
    planning: { threads: 1, byItself: false },
  });
  try {
    await program.ask("setUpStudio", { body: { name: "Bench Quay", timeZone: "Europe/Dublin", currency: "EUR", lengthUnit: "mm", paper: "A4" } }); // prettier-ignore
    for (const face of ["alphabet:upright", "alphabet:flowing"]) {
      const recipe = { cloth: "woven", face, heightMm: 15, leastHeightMm: null, maxWidthMm: 200, arcDeg: 0, place: "alone", designId: null, threadId: null }; // prettier-ignore
      const names = inventedNames(NAMES, LETTERS).map((text) => ({ text, threadId: null }));
      const start = performance.now();
      let run = await program.ask("makeNames", { body: { recipe, names } });
      let worst = 0;
      while (run.state === "running") {
        const before = performance.now();
        await new Promise((resolve) => setTimeout(resolve, 20));
        worst = Math.max(worst, performance.now() - before - 20);
        run = await program.ask("readNames", { params: { id: run.id } });
      }
      const took = (performance.now() - start) / 1000;
      const made = run.names.filter((name) => name.versionId !== null).length;
      print(`names  ${face.padEnd(18)} ${made} of ${NAMES} of ${LETTERS} letters in ${took.toFixed(1)} s; the program answered within ${worst.toFixed(0)} ms meanwhile`); // prettier-ignore
    }
    const previews: number[] = [];
    const text = "Olivia Quay";
    for (let letters = 1; letters <= text.length; letters++) {
      const item = { kind: "lettering", key: "a", xMm: 0, yMm: 0, turnDeg: 0, text: text.slice(0, letters), face: "alphabet:upright", heightMm: 15, widthMm: null, bend: { as: "straight" }, align: "centre", letterSpacingMm: 0, wordSpacingMm: 0, lineSpacing: 1.65, order: "along", threadId: null }; // prettier-ignore
      const start = performance.now();
      await program.ask("previewMaking", { body: { desk: "bench", making: { format: "spoolwright/making@1", cloth: "woven", hoopId: null, items: [item] } } }); // prettier-ignore
      if (letters > 1) previews.push(performance.now() - start);
    }
    previews.sort((a, b) => a - b);
    print(`names  a picture while a name is typed: middle ${previews[previews.length >> 1]!.toFixed(0)} ms, longest ${previews.at(-1)!.toFixed(0)} ms`); // prettier-ignore
  } finally {
    await program.close();
    rmSync(data, { recursive: true, force: true });
  }
}

if (process.argv[1]?.endsWith("names.ts") || process.argv[1]?.endsWith("bench.js")) await benchNames();
