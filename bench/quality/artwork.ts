/**
 * How well artwork sews: forty shapes of our own (rings, stars, thin crescents, letters with counters, lattices, waves,
 * strokes) on every cloth, each measured against its own outline by STITCHING.md's limits. A word that names a cloth
 * takes that one alone. Then the time of a large fill, in processor time, so that other work does not count.
 */
import { type Artwork, makeArtwork } from "#core/stitch";
import { CLOTHS, type Cloth } from "../../src/core/stitch/cloth";
import { sewMaking } from "../../src/core/stitch/making/making";
import { missedByArtwork } from "../../src/core/stitch/artwork/limits";
import { maskOfRings, measureStitches } from "../../src/core/stitch/metrics";
import { cutRings, type Rings, strokedRings, unitedRings } from "../../src/core/stitch/rings";
import type { Place } from "../../src/core/stitch/spine";

const circle = (r: number, x = 0, y = 0, ry = r): Place[] =>
  Array.from({ length: 180 }, (_, i) => {
    const a = (2 * Math.PI * i) / 180;
    return [x + r * Math.cos(a), y + ry * Math.sin(a)];
  });
const star = (points: number, outer: number, inner: number): Place[] =>
  Array.from({ length: 2 * points }, (_, i) => {
    const a = Math.PI / 2 + (Math.PI * i) / points;
    const r = i % 2 === 0 ? outer : inner;
    return [r * Math.cos(a), r * Math.sin(a)];
  });
const box = (x: number, y: number, w: number, h: number): Place[] => [[x, y], [x + w, y], [x + w, y + h], [x, y + h]]; // prettier-ignore
const wave = (r: number, amplitude: number, times: number): Place[] =>
  Array.from({ length: 360 }, (_, i) => {
    const a = (2 * Math.PI * i) / 360;
    const q = r + amplitude * Math.sin(times * a);
    return [q * Math.cos(a), q * Math.sin(a)];
  });
const stroke = (places: Place[], width: number, closed = false): Rings =>
  strokedRings([{ places, closed }], width, "round", "round");
const spiral = (turns: number, gap: number): Place[] =>
  Array.from({ length: turns * 60 }, (_, i) => {
    const a = (2 * Math.PI * i) / 60;
    return [((gap * a) / (2 * Math.PI) + 4) * Math.cos(a), ((gap * a) / (2 * Math.PI) + 4) * Math.sin(a)];
  });
const hearts: Place[] = Array.from({ length: 200 }, (_, i) => {
  const t = (2 * Math.PI * i) / 200;
  return [
    16 * Math.sin(t) ** 3,
    13 * Math.cos(t) - 5 * Math.cos(2 * t) - 2 * Math.cos(3 * t) - Math.cos(4 * t),
  ];
});

const SHAPES: readonly (readonly [name: string, rings: Rings])[] = [
  ["disc", [circle(20)]],
  ["ellipse", [circle(30, 0, 0, 12)]],
  ["ring, thin", cutRings([circle(20)], [circle(17)])],
  ["ring, satin wide", cutRings([circle(20)], [circle(14.5)])],
  ["ring, wide", cutRings([circle(22)], [circle(10)])],
  ["ring, off centre", cutRings([circle(20)], [circle(12, 5, 3)])],
  ["star of 5", [star(5, 24, 10)]],
  ["star of 5, thin", [star(5, 24, 5)]],
  ["star of 8", [star(8, 24, 14)]],
  ["star of 12", [star(12, 24, 18)]],
  ["crescent", cutRings([circle(20)], [circle(18, 7, 3)])],
  ["crescent, thin", cutRings([circle(20)], [circle(19.4, 3, 1)])],
  ["crescent, fat", cutRings([circle(20)], [circle(16, 12, 0)])],
  ["square", [box(-15, -15, 30, 30)]],
  ["bar", [box(-25, -2, 50, 4)]],
  ["bar, wide", [box(-25, -5, 50, 10)]],
  ["frame", cutRings([box(-20, -15, 40, 30)], [box(-16, -11, 32, 22)])],
  ["frame, wide", cutRings([box(-25, -20, 50, 40)], [box(-14, -9, 28, 18)])],
  ["cross", unitedRings([box(-20, -3, 40, 6), box(-3, -20, 6, 40)])],
  ["cross, wide", unitedRings([box(-20, -7, 40, 14), box(-7, -20, 14, 40)])],
  ["thirty holes", cutRings([box(-30, -25, 60, 50)], Array.from({ length: 30 }, (_, i) => circle(2.5, -25 + 10 * (i % 6), -20 + 10 * Math.floor(i / 6))))], // prettier-ignore
  [
    "nested rings",
    unitedRings(
      [30, 26, 22, 18, 14, 10, 6].map((r) => circle(r)),
      "evenodd",
    ),
  ],
  [
    "nested squares",
    unitedRings(
      [28, 22, 16, 10, 4].map((r) => box(-r, -r, 2 * r, 2 * r)),
      "evenodd",
    ),
  ],
  ["comb", unitedRings([box(-24, -15, 48, 8), ...[-24, -14, -4, 6, 16].map((x) => box(x, -15, 6, 30))])],
  [
    "comb, fine",
    unitedRings([box(-24, -15, 48, 5), ...[-24, -17, -10, -3, 4, 11, 18].map((x) => box(x, -15, 3, 30))]),
  ],
  ["wave of 9", [wave(20, 4, 9)]],
  ["wave of 20", [wave(24, 2, 20)]],
  ["flower", [wave(18, 8, 6)]],
  ["heart", [hearts]],
  ["letter O", cutRings([circle(14, 0, 0, 18)], [circle(8, 0, 0, 12)])],
  ["letter B", cutRings(unitedRings([box(-12, -18, 8, 36), circle(10, 0, 8), circle(11, 1, -8)]), [circle(4, 1, 8), circle(5, 1, -8)])], // prettier-ignore
  ["letter A", stroke([[-14, -18], [0, 18], [14, -18], [9, -6], [-9, -6]], 4)], // prettier-ignore
  [
    "letter E",
    unitedRings([box(-10, -16, 5, 32), box(-10, 11, 20, 5), box(-10, -2.5, 16, 5), box(-10, -16, 20, 5)]),
  ],
  [
    "figure 8",
    cutRings(unitedRings([circle(9, 0, 9), circle(11, 0, -9)]), [circle(4, 0, 9), circle(6, 0, -9)]),
  ],
  [
    "zigzag",
    stroke(
      Array.from({ length: 9 }, (_, i): Place => [-24 + 6 * i, i % 2 ? 10 : -10]),
      3,
    ),
  ],
  [
    "curve",
    stroke(
      Array.from({ length: 120 }, (_, i): Place => [-30 + i / 2, 10 * Math.sin(i / 12)]),
      3.5,
    ),
  ],
  ["spiral", stroke(spiral(3, 7), 3)],
  ["triangle", [[[-20, -14], [20, -14], [0, 20]]]], // prettier-ignore
  ["sliver", [[[-25, -1.2], [25, 0], [-25, 1.2]]]], // prettier-ignore
  ["fish", unitedRings([circle(18, 4, 0, 9), [[-10, 0], [-24, 10], [-24, -10]]])], // prettier-ignore
];

const words = process.argv.slice(2);
const every = ["woven", "knit", "pile"] as const;
const chosen = every.filter((cloth) => words.includes(cloth));
const cloths = chosen.length > 0 ? chosen : every;
for (const cloth of cloths satisfies readonly Cloth[]) {
  let holding = 0;
  for (const [name, rings] of SHAPES) {
    const artwork: Artwork = { painted: [{ kind: "area", rings, rule: "nonzero", colour: "#1f3557" }], naturalMm: null, findings: [] }; // prettier-ignore
    const xs = rings.flat().map(([x]) => x);
    const ys = rings.flat().map(([, y]) => y);
    const [left, right] = [Math.min(...xs), Math.max(...xs)];
    const middle: Place = [(left + right) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
    const start = performance.now();
    const made = makeArtwork(artwork, { widthMm: right - left, cloth });
    const ms = performance.now() - start;
    const mask = maskOfRings(
      rings.map((ring) => ring.map(([x, y]) => [x - middle[0], y - middle[1]] as const)),
    );
    const m = measureStitches(made.stitches, mask, { pullMm: CLOTHS[cloth].pullMm });
    const misses = missedByArtwork(m);
    if (misses.length === 0) holding++;
    console.log(
      `${cloth} ${name.padEnd(18)} cover ${(m.cover * 100).toFixed(1)} bare ${m.widestBareMm.toFixed(2)} outside ${(m.outside * 100).toFixed(2)} % (${m.worstOutMm.toFixed(2)}) densest ${m.densest} layers ${m.layersP99}/${m.layersMost} short ${(m.short * 100).toFixed(1)} % trims ${m.trims} stray ${m.stray} ${ms.toFixed(0)} ms ${made.making.parts[0]!.objects.map(({ sew }) => sew[0]).join("")} ${misses.join(", ")}`,
    );
  }
  console.log(`${cloth}: ${holding} of ${SHAPES.length} shapes hold every limit`);
}

/** A disc of 21,000 stitches; the least of some runs is the work itself, the rest is the collector's and the cache's. */
for (const lines of ["rows", "along the edge"] as const) {
  const radius = lines === "rows" ? 91 : 84;
  const timesMs: number[] = [];
  let stitches = 0;
  for (let run = 0; run < 9; run++) {
    const before = process.cpuUsage();
    const sewn = sewMaking({ cloth: "woven", parts: [{ colour: "#1f3557", objects: [{ sew: "fill", rings: [circle(radius)], lines, angleDeg: 20 }] }] }); // prettier-ignore
    const { user, system } = process.cpuUsage(before);
    timesMs.push((user + system) / 1000);
    stitches = sewn.kind.length;
  }
  timesMs.sort((a, b) => a - b);
  console.log(
    `fill, ${lines}: ${stitches} stitches in ${timesMs[0]!.toFixed(0)} to ${timesMs[8]!.toFixed(0)} ms of processor time, ${timesMs[4]!.toFixed(0)} in the middle`,
  );
}
