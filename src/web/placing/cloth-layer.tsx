import type { PointMm } from "#core/placing";
import { useEffect, useState } from "react";
import { pathOf, type Scale, toPicture } from "./geometry";
import type { Known, Result } from "./marks";
import type { DrawnDesign } from "./photo-messages";

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

/** An ImageBitmap as an address that SVG can show; null until it is made. */
function useAddress(bitmap: ImageBitmap | null): string | null {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    if (!bitmap) return;
    let made: string | null = null;
    let isGone = false;
    const sheet = document.createElement("canvas");
    sheet.width = bitmap.width;
    sheet.height = bitmap.height;
    sheet.getContext("2d")!.drawImage(bitmap, 0, 0);
    sheet.toBlob((blob) => {
      if (!blob || isGone) return;
      made = URL.createObjectURL(blob);
      setAddress(made);
    });
    return () => {
      isGone = true;
      if (made) URL.revokeObjectURL(made);
    };
  }, [bitmap]);
  return address;
}

/** The design as thread where it will be sewn; what is sewn already stands pale. */
export function DesignOnCloth({
  scale,
  design,
  drawn,
  pose,
}: {
  readonly scale: Scale;
  readonly design: Known["design"];
  readonly drawn: DrawnDesign | null;
  readonly pose: Result["pose"];
}) {
  const sewn = useAddress(drawn?.sewn ?? null);
  const rest = useAddress(drawn?.rest ?? null);
  const origin = toPicture(scale, pose);
  const place = `translate(${origin.x} ${origin.y}) rotate(${-pose.deg}) scale(${scale.pxPerMm})`;
  const { leftMm, rightMm, bottomMm, topMm } = drawn?.boxMm ?? {
    leftMm: 0,
    rightMm: 0,
    bottomMm: 0,
    topMm: 0,
  };
  const at = { x: leftMm, y: -topMm, width: rightMm - leftMm, height: topMm - bottomMm };
  const hull = design.outline.map(({ xMm, yMm }) => `${xMm},${-yMm}`).join(" ");
  return (
    <g transform={place}>
      {drawn && sewn && <image href={sewn} {...at} opacity={0.4} />}
      {drawn && rest && <image href={rest} {...at} />}
      <polygon points={hull} className="plane-halo plane-hull" />
      <polygon points={hull} className="plane-line plane-hull" />
      <path d="M-3 0h6M0 -3v6" className="plane-halo" />
      <path d="M-3 0h6M0 -3v6" className="plane-line" />
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
