import type { PointMm } from "#core/placing";
import { pathOf, type Scale, toPicture } from "./geometry";
import type { Known, Result } from "./marks";
import type { DrawnDesign } from "./photo-messages";
import type { Laid } from "./plane";

/** What is drawn over the true-scale picture: field and foot's room, the design as thread, arrows. SVG, px of the picture. */

const box = (halfX: number, halfY: number): PointMm[] => [
  { xMm: -halfX, yMm: -halfY },
  { xMm: halfX, yMm: -halfY },
  { xMm: halfX, yMm: halfY },
  { xMm: -halfX, yMm: halfY },
];

export function HaloPath({ d, look = "" }: { readonly d: string; readonly look?: string }) {
  return (
    <>
      <path d={d} className="plane-halo" />
      <path d={d} className={`plane-line ${look}`} />
    </>
  );
}

/** The field as a line, and inside it how near the needle may come for the presser foot's sake. */
export function FieldLines({
  scale,
  field,
  footMm,
  room,
}: {
  readonly scale: Scale;
  readonly field: { readonly widthMm: number; readonly heightMm: number };
  readonly footMm: number;
  readonly room: Result["room"] | null;
}) {
  const [x, y] = [field.widthMm / 2, field.heightMm / 2];
  const failing = room
    ? [
        { over: room.leftMm, from: { xMm: -x, yMm: -y }, to: { xMm: -x, yMm: y } },
        { over: room.rightMm, from: { xMm: x, yMm: -y }, to: { xMm: x, yMm: y } },
        { over: room.nearMm, from: { xMm: -x, yMm: -y }, to: { xMm: x, yMm: -y } },
        { over: room.farMm, from: { xMm: -x, yMm: y }, to: { xMm: x, yMm: y } },
      ].filter(({ over }) => over < 0)
    : [];
  return (
    <>
      <HaloPath d={pathOf(scale, box(x, y), "closed")} look="plane-line-field" />
      {footMm > 0 && (
        <HaloPath d={pathOf(scale, box(x - footMm, y - footMm), "closed")} look="plane-line-foot" />
      )}
      {failing.map(({ from, to }) => (
        <HaloPath
          key={`${from.xMm} ${from.yMm} ${to.xMm}`}
          d={pathOf(scale, [from, to])}
          look="plane-line-late plane-line-over"
        />
      ))}
    </>
  );
}

/** The design as thread where it will be sewn; what is sewn already stands pale. Drawn at the scale's own px a mm. */
export function threadOn(scale: Scale, drawn: DrawnDesign | null, pose: Result["pose"]): readonly Laid[] {
  if (!drawn) return [];
  const { x, y } = toPicture(scale, pose);
  const { leftMm, topMm } = drawn.boxMm;
  const at = {
    x,
    y,
    turnRad: (-pose.deg * Math.PI) / 180,
    left: leftMm * scale.pxPerMm,
    top: -topMm * scale.pxPerMm,
  };
  return [
    { bitmap: drawn.sewn, ...at, opacity: 0.4 },
    { bitmap: drawn.rest, ...at, opacity: 1 },
  ];
}

/** The design's outline and its start. */
export function DesignOutline({
  scale,
  design,
  pose,
}: {
  readonly scale: Scale;
  readonly design: Known["design"];
  readonly pose: Result["pose"];
}) {
  const origin = toPicture(scale, pose);
  const place = `translate(${origin.x} ${origin.y}) rotate(${-pose.deg}) scale(${scale.pxPerMm})`;
  const hull = design.outline.map(({ xMm, yMm }) => `${xMm},${-yMm}`).join(" ");
  return (
    <g transform={place}>
      <polygon points={hull} className="plane-halo plane-hull" />
      <polygon points={hull} className="plane-line plane-hull" />
    </g>
  );
}

/** A line with a head, from a touched place to where it should have been. */
export function Arrow({
  scale,
  from,
  to,
  look,
}: {
  readonly scale: Scale;
  readonly from: PointMm;
  readonly to: PointMm;
  readonly look: string;
}) {
  const [a, b] = [toPicture(scale, from), toPicture(scale, to)];
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const head = Math.min(length / 2, 3 * scale.pxPerMm);
  const angle = Math.atan2(b.y - a.y, b.x - a.x);
  const wing = (by: number) =>
    `M${b.x} ${b.y}L${b.x - head * Math.cos(angle + by)} ${b.y - head * Math.sin(angle + by)}`;
  return <HaloPath d={`M${a.x} ${a.y}L${b.x} ${b.y}${wing(0.5)}${wing(-0.5)}`} look={look} />;
}
