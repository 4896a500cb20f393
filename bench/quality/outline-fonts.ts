/**
 * Letters of outline fonts as stitches: which pieces hold the limits as satin, which are filled, which are refused, by
 * font, height and cloth. Letters come from names; a sample of them unless `all` stands on the command line, and seconds
 * per font at most by a number (40).
 */
import { BUNDLED_FONTS, bundledFont } from "#app";
import { type Cloth, letterOutlines } from "#core/stitch";
import { clustersOfLine, planCluster } from "../../src/core/stitch/outline/set-outlines";

const words = process.argv.slice(2);
const all = words.includes("all");
const seconds = all ? Infinity : Number(words.find((word) => Number(word) > 0) ?? 40);
const NAMES = [
  "Marigold", "Zoë", "Jürgen", "Åsa", "Łukasz", "Éloïse", "Kaj", "Quentin", "Wyn", "Bodil", "Frida", "Hugo", "Iñes",
  "Nora", "Oskar", "Petra", "Rúna", "Sören", "Thea", "Ulf", "Vera", "Xenia", "Yusuf", "Čeněk", "Großmann", "Dag", "Gus",
  "Cleo", "Ebba", "Lotte", "0123456789", "& Co.",
]; // prettier-ignore
const letters = [...new Set(NAMES.flatMap((name) => [...name]))].filter((letter) => letter.trim() !== "");
const step = all ? 1 : 3;

console.log("font      height cloth   pieces  satin  first try  filled  refused  refused are");
for (const { name } of BUNDLED_FONTS) {
  const font = bundledFont(name);
  let turn = 0;
  for (const capMm of [8, 15, 30]) {
    for (const cloth of ["woven", "knit", "pile"] as Cloth[]) {
      const tally = { pieces: 0, satin: 0, first: 0, fill: 0, refused: 0 };
      const refused: string[] = [];
      const due = performance.now() + (seconds * 1000) / 9;
      for (let i = turn++ % step; i < letters.length && performance.now() < due; i += step) {
        const [cluster] = clustersOfLine(font, letters[i]!).clusters;
        if (cluster === undefined) continue;
        for (const { how, tried, misses } of planCluster(font, cluster, { capMm, cloth }).pieces) {
          tally.pieces++;
          if (how === "satin") tally.satin++;
          if (how === "satin" && tried === 0) tally.first++;
          if (how === "fill") tally.fill++;
          if (how === "refused") {
            tally.refused++;
            refused.push(`${letters[i]!} (${misses.join(", ")})`);
          }
        }
      }
      console.log(
        `${name.padEnd(9)} ${String(capMm).padStart(6)} ${cloth.padEnd(6)} ${String(tally.pieces).padStart(7)} ${String(tally.satin).padStart(6)} ${String(tally.first).padStart(10)} ${String(tally.fill).padStart(7)} ${String(tally.refused).padStart(8)}  ${refused.join("; ")}`,
      );
    }
  }
}

const font = bundledFont("Nunito");
const measures = { heightMm: 15, cloth: "woven" } as const;
letterOutlines("Marihold", font, measures);
const times: number[] = [];
for (let n = 0; n < 9; n++) {
  const start = performance.now();
  letterOutlines("Marihold", font, measures);
  times.push(performance.now() - start);
}
times.sort((a, b) => a - b);
console.log(`a name of 8 letters, glyphs known: ${times[4]!.toFixed(0)} ms (middle of nine)`);
