import { type CSSProperties, type KeyboardEvent, type ReactNode, useEffect, useRef, useState } from "react";
import { Loupe } from "./loupe";
import { useTouch, within } from "./use-touch";
import { WHOLE } from "./zoom";
import "./plane.css";

/** A place that can be moved: picture units, from the upper left corner. */
export interface Handle {
  readonly id: string;
  readonly x: number;
  readonly y: number;
  /** "Collar seam, place 1 of 2". */
  readonly label: string;
  /** What stands on it; its place in the list where nothing is said. */
  readonly sign?: string;
}

/** A picture laid over the other: thread on the cloth. Picture units; turned about (x, y), clockwise as on screen. */
export interface Laid {
  readonly bitmap: ImageBitmap;
  readonly x: number;
  readonly y: number;
  readonly turnRad: number;
  /** The bitmap's upper left corner from (x, y), before it is turned. */
  readonly left: number;
  readonly top: number;
  readonly opacity: number;
}

export interface PlaneProps {
  /** Null where there is no photo: a plain sheet. */
  readonly picture: ImageBitmap | null;
  readonly width: number;
  readonly height: number;
  readonly label: string;
  readonly handles: readonly Handle[];
  /** A press beside all handles: gives the new handle's id to move on with, or null. */
  readonly onAdd?: (x: number, y: number) => string | null;
  readonly onMove?: (id: string, x: number, y: number) => void;
  /** A finger or mouse let go; arrow keys go on in small steps and do not end. */
  readonly onDone?: (id: string) => void;
  /** An arrow key's step, picture units; ten of them with Shift. */
  readonly step: number;
  readonly laid?: readonly Laid[];
  /** What is drawn over the picture: SVG in picture units. */
  readonly children?: ReactNode;
}

const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/**
 * A picture to touch: places are laid by a press, moved with a loupe, by the finger beside it or by arrow keys. Two
 * fingers or the wheel bring it closer.
 */
export function Plane(props: PlaneProps) {
  const { picture, width, height, handles, step, onMove } = props;
  const root = useRef<HTMLDivElement>(null);
  const [focused, setFocused] = useState<string | null>(null);
  const touch = useTouch(props, root);
  const { zoom, drag } = touch;
  const key = (event: KeyboardEvent, one: Handle) => {
    const way = ARROWS[event.key];
    if (!way) return;
    event.preventDefault();
    const by = step * (event.shiftKey ? 10 : 1);
    onMove?.(one.id, within(one.x + way[0] * by, width), within(one.y + way[1] * by, height));
  };
  const shown = handles.find((one) => one.id === (drag?.id ?? focused));
  const percent = (share: number) => `${100 * share}%`;
  return (
    <div
      ref={root}
      className="plane"
      role="group"
      aria-label={props.label}
      style={{ aspectRatio: `${width} / ${height}`, "--plane-ratio": width / height } as CSSProperties}
      onPointerDownCapture={touch.first}
      onPointerDown={touch.press}
      onPointerMove={touch.move}
      onPointerUp={touch.end}
      onPointerCancel={touch.end}
    >
      <div
        className="plane-world"
        style={{
          left: percent(-zoom.x * zoom.times),
          top: percent(-zoom.y * zoom.times),
          width: percent(zoom.times),
          height: percent(zoom.times),
        }}
      >
        <Sheet picture={picture} width={width} height={height} laid={props.laid ?? NOTHING} />
        <svg viewBox={`0 0 ${width} ${height}`} aria-hidden>
          {props.children}
          {handles.map((one) => (
            <Cross key={one.id} x={one.x} y={one.y} size={width / 60 / zoom.times} />
          ))}
        </svg>
        {handles.map((one, at) => (
          <button
            key={one.id}
            type="button"
            className={`plane-handle ${(one.y / height - zoom.y) * zoom.times > 0.72 ? "plane-handle-above" : ""}`}
            style={{ left: percent(one.x / width), top: percent(one.y / height) }}
            aria-label={`${one.label}. Move with the arrow keys.`}
            onPointerDown={(event) => {
              event.stopPropagation();
              touch.begin(event, one.id, one.x, one.y);
            }}
            onKeyDown={(event) => key(event, one)}
            onFocus={() => setFocused(one.id)}
            onBlur={() => setFocused(null)}
          >
            <span aria-hidden>{one.sign ?? at + 1}</span>
          </button>
        ))}
      </div>
      {picture && shown && (
        <Loupe
          picture={picture}
          x={(shown.x * picture.width) / width}
          y={(shown.y * picture.height) / height}
          times={Math.max(4, 2 * zoom.times)}
          side={(shown.x / width - zoom.x) * zoom.times > 0.5 ? "left" : "right"}
        />
      )}
      <Closer times={zoom.times} closer={touch.closer} onWhole={() => touch.setZoom(WHOLE)} />
    </div>
  );
}

/** For who has neither wheel nor a second finger free. */
function Closer({
  times,
  closer,
  onWhole,
}: {
  readonly times: number;
  readonly closer: (by: number) => void;
  readonly onWhole: () => void;
}) {
  return (
    <div className="plane-closer" onPointerDown={(event) => event.stopPropagation()}>
      <button type="button" aria-label="Closer" onClick={() => closer(1.6)}>
        +
      </button>
      {times > 1 && (
        <button type="button" aria-label="The whole picture" onClick={onWhole}>
          ⤢
        </button>
      )}
    </div>
  );
}

/** The cross of a place, light round dark so that it shows on any cloth. */
export function Cross({ x, y, size }: { readonly x: number; readonly y: number; readonly size: number }) {
  const d = `M${x - size} ${y}h${2 * size}M${x} ${y - size}v${2 * size}`;
  return (
    <>
      <path d={d} className="plane-halo" />
      <path d={d} className="plane-line" />
    </>
  );
}

const NOTHING: readonly Laid[] = [];

function Sheet({
  picture,
  width,
  height,
  laid,
}: Pick<PlaneProps, "picture" | "width" | "height"> & { readonly laid: readonly Laid[] }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [across, down] = [picture?.width ?? Math.round(width), picture?.height ?? Math.round(height)];
  useEffect(() => {
    const context = canvas.current?.getContext("2d");
    if (!context) return;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, across, down);
    if (picture) context.drawImage(picture, 0, 0);
    context.scale(across / width, down / height);
    for (const one of laid) {
      context.save();
      context.translate(one.x, one.y);
      context.rotate(one.turnRad);
      context.globalAlpha = one.opacity;
      context.drawImage(one.bitmap, one.left, one.top);
      context.restore();
    }
  }, [picture, laid, across, down, width, height]);
  return <canvas ref={canvas} width={across} height={down} />;
}
