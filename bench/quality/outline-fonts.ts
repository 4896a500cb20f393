/**
 * Letters of outline fonts as stitches: which pieces hold the limits as satin, which are filled, which are refused, by
 * font, height and cloth. Every letter of the names is tried, none picked; `all` on the command line takes knit and pile
 * besides woven. Then how long a first name takes, and one whose letters are known.
 */
import { BUNDLED_FONTS, bundledFont } from "#app";
import { type Cloth, letterOutlines } from "#core/stitch";
import { clustersOfLine, planCluster } from "../../src/core/stitch/outline/set-outlines";

const all = process.argv.includes("all");
const CLOTH_NAMES: readonly Cloth[] = all ? ["woven", "knit", "pile"] : ["woven"];
const HEIGHTS = [8, 15, 30, 40];
const NAMES = [
  "Marigold", "Zoë", "Jürgen", "Åsa", "Łukasz", "Éloïse", "Kaj", "Quentin", "Wyn", "Bodil", "Frida", "Hugo", "Iñes",
  "Nora", "Oskar", "Petra", "Rúna", "Sören", "Thea", "Ulf", "Vera", "Xenia", "Yusuf", "Čeněk", "Großmann", "Dag", "Gus",
  "Cleo", "Ebba", "Lotte", "0123456789", "& Co.",
]; // prettier-ignore
const letters = [...new Set(NAMES.flatMap((name) => [...name]))].filter((letter) => letter.trim() !== "");

console.log("font      height cloth   pieces  satin  first try  filled  refused  s a letter  not satin are");
for (const { name } of BUNDLED_FONTS) {
  const font = bundledFont(name);
  for (const capMm of HEIGHTS) {
    for (const cloth of CLOTH_NAMES) {
      const tally = { pieces: 0, satin: 0, first: 0, fill: 0, refused: 0 };
      const others: string[] = [];
      const start = performance.now();
      for (const letter of letters) {
        const [cluster] = clustersOfLine(font, letter).clusters;
        if (cluster === undefined) continue;
        for (const { how, tried, misses } of planCluster(font, cluster, { capMm, cloth }).pieces) {
          tally.pieces++;
          if (how === "satin") tally.satin++;
          if (how === "satin" && tried === 0) tally.first++;
          if (how === "fill") tally.fill++;
          if (how === "refused") tally.refused++;
          if (how !== "satin") others.push(how === "fill" ? letter : `${letter} (${misses.join(", ")})`);
        }
      }
      const took = (performance.now() - start) / 1000 / letters.length;
      console.log(
        `${name.padEnd(9)} ${String(capMm).padStart(6)} ${cloth.padEnd(6)} ${String(tally.pieces).padStart(7)} ${String(tally.satin).padStart(6)} ${String(tally.first).padStart(10)} ${String(tally.fill).padStart(7)} ${String(tally.refused).padStart(8)} ${took.toFixed(2).padStart(11)}  ${others.join(" ")}`,
      );
    }
  }
}

const font = bundledFont("Nunito");
// A height not planned above: what was learnt at a like one must not help.
const measures = { heightMm: 19, cloth: "woven" } as const;
const first = performance.now();
letterOutlines("Marihold", font, measures);
console.log(`a first name of 8 letters: ${(performance.now() - first).toFixed(0)} ms`);
const times: number[] = [];
for (let n = 0; n < 9; n++) {
  const start = performance.now();
  letterOutlines("Marihold", font, measures);
  times.push(performance.now() - start);
}
times.sort((a, b) => a - b);
console.log(`a name of 8 letters, glyphs known: ${times[4]!.toFixed(0)} ms (middle of nine)`);
