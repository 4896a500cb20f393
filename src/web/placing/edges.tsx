import type { PointPx } from "#core/placing";
import { Button } from "@mantine/core";
import { useEffect, useRef, useState } from "react";
import type { EdgesPx } from "./body";
import { HaloPath } from "./cloth-layer";
import { type Side, SIDES } from "./marks";
import type { PhotoDesk } from "./photo-desk";
import type { OpenedPhoto } from "./photo-messages";
import { type Handle, Plane } from "./plane";

/** Lines laid over the hoop's four inner edges in the photo, one after the other. */

export const sideWords: Readonly<Record<Side, string>> = {
  left: "left inner edge",
  far: "far inner edge",
  right: "right inner edge",
  near: "near inner edge",
};

/** How far an edge may lie from the laid line to be taken for it, as a share of the photo. */
const REACH_SHARE = 0.012;

export function EdgeLines({
  opened,
  desk,
  edges,
  onEdges,
  onAll,
  canFind = true,
  from,
}: {
  readonly opened: OpenedPhoto;
  readonly desk: PhotoDesk;
  readonly edges: EdgesPx;
  readonly onEdges: (edges: EdgesPx) => void;
  /** After the last edge. */
  readonly onAll: () => void;
  /** Whether the desk holds this photo, so that an edge near a line can be found. */
  readonly canFind?: boolean;
  /** Lines carried over from another photo lie on their edges but for a little; that little is looked for at once. */
  readonly from?: "another photo";
}) {
  const [side, setSide] = useState<Side>("left");
  const [said, setSaid] = useState("");
  const [isShown, setShown] = useState(from !== undefined);
  const { widthPx, heightPx } = opened.size;
  const line = edges[side];
  // The outer corner of the first pixel is −½ in px and 0 in the picture.
  const handles: Handle[] = line.map(({ xPx, yPx }, i) => ({
    id: `${side} ${i}`,
    x: xPx + 0.5,
    y: yPx + 0.5,
    label: `${sideWords[side]}, place ${i + 1} of ${line.length}`,
  }));
  const set = (points: readonly PointPx[]) => onEdges({ ...edges, [side]: points });
  const near = (points: readonly PointPx[]) => {
    const [begins, ends] = points as [PointPx, PointPx];
    const reachPx = Math.round(REACH_SHARE * Math.max(widthPx, heightPx));
    return desk.ask("snap", { where: "photo", from: begins, to: ends, reachPx });
  };
  const isCarried = useRef(from !== undefined && canFind);
  useEffect(() => {
    if (!isCarried.current) return;
    isCarried.current = false;
    void (async () => {
      let found = edges;
      for (const one of SIDES) {
        const onto = await near(found[one]);
        if (onto) found = { ...found, [one]: [onto.from, onto.to] };
      }
      onEdges(found);
    })();
  });
  const snap = async () => {
    const found = await near(line);
    setSaid(found ? "Moved onto the edge." : "No plain edge near the line; it stays as it was laid.");
    if (found) set([found.from, found.to]);
  };
  const next = SIDES[SIDES.indexOf(side) + 1];
  return (
    <div className="place-edges">
      <p className="place-say">
        {isShown ? (
          <>
            Do all four lines lie on the inner edges? They were taken over from the first photo. Look closer
            with two fingers.
          </>
        ) : (
          <>
            Lay the line on the <b>{sideWords[side]}</b>, as you stand before the machine. The straight part
            counts, not the round corners.
          </>
        )}
      </p>
      <Plane
        picture={opened.preview}
        width={widthPx}
        height={heightPx}
        label="The photo, with lines on the hoop’s inner edges"
        handles={isShown ? [] : handles}
        step={Math.max(1, widthPx / 2000)}
        onMove={(id, x, y) =>
          set(line.map((point, i) => (id === `${side} ${i}` ? { xPx: x - 0.5, yPx: y - 0.5 } : point)))
        }
      >
        {SIDES.map((one) => {
          const [from, to] = edges[one] as [PointPx, PointPx];
          return (
            <HaloPath
              key={one}
              d={`M${from.xPx + 0.5} ${from.yPx + 0.5}L${to.xPx + 0.5} ${to.yPx + 0.5}`}
              look={one === side && !isShown ? "" : "plane-line-done"}
            />
          );
        })}
      </Plane>
      <p role="status" className="quiet place-said">
        {said}
      </p>
      <div className="place-acts">
        {isShown ? (
          <>
            <Button size="lg" onClick={onAll}>
              All four lie on their edges
            </Button>
            <Button size="lg" variant="default" onClick={() => setShown(false)}>
              Lay them one by one
            </Button>
          </>
        ) : next ? (
          <Button
            size="lg"
            onClick={() => {
              setSide(next);
              setSaid("");
            }}
          >
            Next: {sideWords[next]}
          </Button>
        ) : (
          <Button size="lg" onClick={onAll}>
            All four lie on their edges
          </Button>
        )}
        {canFind && !isShown && (
          <Button size="lg" variant="default" onClick={() => void snap()}>
            Find the edge near the line
          </Button>
        )}
      </div>
      {!isShown && (
        <div className="place-sides" role="group" aria-label="Which edge">
          {SIDES.map((one) => (
            <button
              key={one}
              type="button"
              className="place-chip"
              aria-pressed={one === side}
              onClick={() => setSide(one)}
            >
              {one}
            </button>
          ))}
        </div>
      )}
    </div>
  );
}
