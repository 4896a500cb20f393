/**
 * The drawing of the first start: cloth in a hoop, a boat, its sail and the sea sewn in thread. Drawn stitch by
 * stitch from shapes, so that it reads as thread; the chance in it is fixed.
 */
interface Point {
  readonly x: number;
  readonly y: number;
}

/** Satin between two rails: stitches from side to side, every `every`-th row of them. */
function satin(left: (t: number) => Point, right: (t: number) => Point, rows: number, every = 1): string {
  const parts: string[] = [];
  for (let row = 0; row <= rows; row += every) {
    const t = row / rows;
    const a = left(t);
    const b = right(t);
    // No two stitches end quite level: a hundredth of the golden angle's spread is enough to look sewn.
    const wobble = ((row * 0.618) % 1) - 0.5;
    parts.push(
      `M${(a.x + wobble).toFixed(1)} ${a.y.toFixed(1)}L${(b.x - wobble * 0.7).toFixed(1)} ${b.y.toFixed(1)}`,
    );
  }
  return parts.join("");
}

const line = (from: Point, to: Point) => (t: number) => ({
  x: from.x + (to.x - from.x) * t,
  y: from.y + (to.y - from.y) * t,
});

type Rails = readonly [left: (t: number) => Point, right: (t: number) => Point, rows: number];

/** A wave: satin whose rails swing, each stitch leaning. */
function wave(y: number, height: number, phase: number): Rails {
  const rail = (lift: number) => (t: number) => ({
    x: 84 + t * 252 + lift * 0.6,
    y: y - lift + Math.sin(t * Math.PI * 6 + phase) * 5,
  });
  return [rail(0), rail(height), 118];
}

const sunEdge = (side: number) => (t: number) => ({
  x: 288 + side * 25 * Math.sqrt(Math.max(0, 1 - (2 * t - 1) ** 2)),
  y: 101 + t * 50,
});
const sailLeft: Rails = [
  line({ x: 203, y: 92 }, { x: 140, y: 222 }),
  line({ x: 204, y: 94 }, { x: 204, y: 222 }),
  62,
];
const sailRight: Rails = [
  line({ x: 214, y: 112 }, { x: 214, y: 222 }),
  line({ x: 215, y: 112 }, { x: 268, y: 222 }),
  52,
];
const hull: Rails = [
  line({ x: 128, y: 234 }, { x: 160, y: 268 }),
  line({ x: 292, y: 234 }, { x: 262, y: 268 }),
  17,
];
const sun: Rails = [sunEdge(-1), sunEdge(1), 25];

/** A filled shape in one thread: its stitches, and the light and shade that lie along some of them. */
function Sewn({ rails: [left, right, rows], thread }: { readonly rails: Rails; readonly thread: string }) {
  return (
    <g strokeWidth="2.3">
      <path d={satin(left, right, rows)} stroke={thread} />
      <path d={satin(left, right, rows, 2)} stroke="rgb(255 255 255 / 20%)" strokeWidth="0.9" />
      <path d={satin(left, right, rows, 5)} stroke="rgb(0 0 0 / 14%)" strokeWidth="0.8" />
    </g>
  );
}

export function StartPicture() {
  return (
    <svg
      className="start-picture"
      viewBox="0 0 420 420"
      role="img"
      aria-label="Cloth in a hoop: a boat on the sea, sewn in thread, the needle still at work"
    >
      <circle cx="210" cy="210" r="186" className="start-hoop-outer" />
      <circle cx="210" cy="210" r="172" className="start-cloth" />
      <clipPath id="start-round">
        <circle cx="210" cy="210" r="170" />
      </clipPath>
      <g className="start-weave" clipPath="url(#start-round)">
        {Array.from({ length: 34 }, (_, index) => (
          <path key={index} d={`M${44 + index * 10} 40V380M40 ${44 + index * 10}H380`} />
        ))}
      </g>
      <circle cx="210" cy="210" r="172" className="start-hoop-inner" />
      <rect x="198" y="12" width="24" height="22" rx="4" className="start-screw" />
      <rect x="190" y="4" width="40" height="12" rx="5" className="start-screw" />
      <g fill="none" strokeLinecap="round">
        <Sewn rails={sun} thread="#C99A2E" />
        <Sewn rails={sailLeft} thread="#B8402F" />
        <Sewn rails={sailRight} thread="#D8C7A0" />
        <path d="M209 84V232" stroke="#7A4A2B" strokeWidth="5" strokeDasharray="7 1.4" />
        <Sewn rails={hull} thread="#24365E" />
        <path d="M138 243H282" stroke="#EFE6CF" strokeWidth="3" strokeDasharray="9 4" />
        <Sewn rails={wave(292, 15, 0)} thread="#2C7C86" />
        <Sewn rails={wave(316, 13, 2.1)} thread="#5FA9C4" />
        <path
          d="M120 334C150 326 166 342 196 334S240 327 262 333"
          stroke="#24365E"
          strokeWidth="3"
          strokeDasharray="10 4"
        />
      </g>
      {/* The thread goes on from the last stitch to the needle's eye. */}
      <path
        d="M262 333C292 342 304 352 330 344S400 316 388 270S374 236 369 226"
        fill="none"
        stroke="#24365E"
        strokeWidth="2.4"
        strokeLinecap="round"
      />
      <g transform="rotate(24 350 270)" className="start-needle">
        <path d="M350 208c4 0 5 4 5 14l-4.2 92h-1.6L345 222c0-10 1-14 5-14z" />
        <ellipse cx="350" cy="222" rx="1.5" ry="7" className="start-eye" />
      </g>
    </svg>
  );
}
