import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seededChance } from "#core/base";
import { insideArea } from "../../src/core/stitch/artwork/artwork";
import { readSvg } from "../../src/core/stitch/artwork/svg";
import { openBrowser } from "./support";

// The browser's own SVG (SVGGraphicsElement.getBBox, SVGGeometryElement.isPointInFill) as the general reference for
// what path data, shapes, transforms and fill rules mean.

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
});

/** Shapes drawn by chance, with places to be asked for. */
function drawings(count: number): { body: string; places: [number, number][] }[] {
  const chance = seededChance(2026);
  const n = (most = 100): number => Math.round(chance.next() * most * 100) / 100;
  return Array.from({ length: count }, (_, i) => {
    const rule = chance.below(2) === 0 ? "evenodd" : "nonzero";
    const turn = chance.below(3) === 0 ? ` transform="rotate(${n(360)} 50 50) scale(${0.5 + n(1)} ${0.5 + n(1)}) skewX(${n(30)})"` : ""; // prettier-ignore
    const segments = Array.from({ length: 3 + chance.below(7) }, () => {
      const relative = chance.below(2) === 0;
      const at = (): number => (relative ? n(60) - 30 : n());
      const letter = "LCSQTAHV"[chance.below(8)]!;
      const count = { L: 2, C: 6, S: 4, Q: 4, T: 2, H: 1, V: 1, A: 0 }[letter]!;
      const words = letter === "A" ? [n(50) + 1, n(50) + 1, n(360), chance.below(2), chance.below(2), at(), at()] : Array.from({ length: count }, at); // prettier-ignore
      return (relative ? letter.toLowerCase() : letter) + words.join(" ");
    });
    const bodies = [
      `<path fill-rule="${rule}"${turn} d="M${n()} ${n()}${segments.join("")}z"/>`,
      `<rect${turn} x="${n(50)}" y="${n(50)}" width="${n(50) + 1}" height="${n(50) + 1}" rx="${n(20)}"/>`,
      `<ellipse${turn} cx="${n()}" cy="${n()}" rx="${n(50) + 1}" ry="${n(50) + 1}"/>`,
      `<polygon fill-rule="${rule}"${turn} points="${Array.from({ length: 8 }, () => `${n()},${n()}`).join(" ")}"/>`,
    ];
    const places = Array.from({ length: 40 }, (): [number, number] => [n(), n()]);
    return { body: bodies[i % 5 < 2 ? 0 : (i % 5) - 1]!, places };
  });
}

describe("a drawing is what a browser shows", () => {
  it("in its boxes and in what lies inside, for three hundred shapes", async () => {
    const all = drawings(300);
    const page = await browser.newPage();
    const theirs = await page.evaluate((shapes) => {
      return shapes.map(({ body, places }) => {
        document.body.innerHTML = `<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100" viewBox="0 0 100 100"><g>${body}</g></svg>`;
        const group = document.querySelector("g")!;
        const shape = group.firstElementChild as SVGGeometryElement;
        const { x, y, width, height } = group.getBBox();
        const back = shape.transform.baseVal.consolidate()?.matrix.inverse();
        const inside = places.map(([px, py]) => {
          const place = new DOMPoint(px, py);
          return shape.isPointInFill(back ? place.matrixTransform(back) : place);
        });
        return { box: [x, x + width, y, y + height], inside };
      });
    }, all);
    let asked = 0;
    let different = 0;
    all.forEach(({ body, places }, i) => {
      const { painted } = readSvg(
        `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">${body}</svg>`,
      );
      const [area] = painted;
      if (area?.kind !== "area") return;
      // A drawing is read at the size of its window: 100 units wide by default of its viewBox.
      const xs = area.rings.flat().map(([x]) => x);
      const ys = area.rings.flat().map(([, y]) => -y);
      const ours = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
      // Both go by pieces: so much may they differ.
      const leave = 0.06 + 0.001 * Math.max(ours[1]! - ours[0]!, ours[3]! - ours[2]!);
      // A browser's box of a turned shape is that of its turned corners: only plain ones are held to it.
      if (!body.includes("transform"))
        ours.forEach((side, k) =>
          expect(Math.abs(side - theirs[i]!.box[k]!), `${body} side ${k}`).toBeLessThan(leave),
        );
      places.forEach(([x, y], k) => {
        asked++;
        if (insideArea(area, [x, -y]) !== theirs[i]!.inside[k]) different++;
      });
    });
    expect(asked).toBeGreaterThan(10_000);
    // Places nearer to an edge than curves are cut to may differ.
    expect(different / asked).toBeLessThan(0.002);
    await page.close();
  });
});
