import {
  type CSSProperties,
  type KeyboardEvent,
  type PointerEvent,
  type ReactNode,
  useEffect,
  useRef,
  useState,
} from "react";
import { Loupe } from "./loupe";
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

interface PlaneProps {
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

interface Drag {
  readonly id: string;
  readonly clientX: number;
  readonly clientY: number;
  readonly x: number;
  readonly y: number;
  readonly rate: number;
}

/** A finger covers what it points at and trembles: the place moves less than the finger does. */
const TOUCH_RATE = 0.4;
const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

const within = (value: number, most: number): number => Math.min(most, Math.max(0, value));

/** A picture to touch: places are laid by a press, moved with a loupe, by the finger beside it or by arrow keys. */
export function Plane(props: PlaneProps) {
  const { picture, width, height, handles, step, onAdd, onMove, onDone } = props;
  const root = useRef<HTMLDivElement>(null);
  const [drag, setDrag] = useState<Drag | null>(null);
  const [focused, setFocused] = useState<string | null>(null);
  const scale = () => (root.current?.getBoundingClientRect().width ?? width) / width;
  const begin = (event: PointerEvent, id: string, x: number, y: number) => {
    root.current?.setPointerCapture(event.pointerId);
    const rate = event.pointerType === "mouse" ? 1 : TOUCH_RATE;
    setDrag({ id, clientX: event.clientX, clientY: event.clientY, x, y, rate });
  };
  const press = (event: PointerEvent) => {
    if (event.button !== 0 || !root.current) return;
    const box = root.current.getBoundingClientRect();
    const x = within((event.clientX - box.left) / scale(), width);
    const y = within((event.clientY - box.top) / scale(), height);
    const id = onAdd?.(x, y);
    if (id !== null && id !== undefined) begin(event, id, x, y);
  };
  const move = (event: PointerEvent) => {
    if (!drag) return;
    const by = drag.rate / scale();
    onMove?.(
      drag.id,
      within(drag.x + (event.clientX - drag.clientX) * by, width),
      within(drag.y + (event.clientY - drag.clientY) * by, height),
    );
  };
  const end = () => {
    if (drag) onDone?.(drag.id);
    setDrag(null);
  };
  const key = (event: KeyboardEvent, one: Handle) => {
    const way = ARROWS[event.key];
    if (!way) return;
    event.preventDefault();
    const by = step * (event.shiftKey ? 10 : 1);
    onMove?.(one.id, within(one.x + way[0] * by, width), within(one.y + way[1] * by, height));
  };
  const shown = handles.find((one) => one.id === (drag?.id ?? focused));
  return (
    <div
      ref={root}
      className="plane"
      role="group"
      aria-label={props.label}
      style={{ aspectRatio: `${width} / ${height}`, "--plane-ratio": width / height } as CSSProperties}
      onPointerDown={press}
      onPointerMove={move}
      onPointerUp={end}
      onPointerCancel={end}
    >
      <Sheet picture={picture} width={width} height={height} laid={props.laid ?? NOTHING} />
      <svg viewBox={`0 0 ${width} ${height}`} aria-hidden>
        {props.children}
        {handles.map((one) => (
          <Cross key={one.id} x={one.x} y={one.y} size={width / 60} />
        ))}
      </svg>
      {handles.map((one, at) => (
        <button
          key={one.id}
          type="button"
          className={`plane-handle ${one.y > 0.72 * height ? "plane-handle-above" : ""}`}
          style={{ left: `${(100 * one.x) / width}%`, top: `${(100 * one.y) / height}%` }}
          aria-label={`${one.label}. Move with the arrow keys.`}
          onPointerDown={(event) => {
            event.stopPropagation();
            begin(event, one.id, one.x, one.y);
          }}
          onKeyDown={(event) => key(event, one)}
          onFocus={() => setFocused(one.id)}
          onBlur={() => setFocused(null)}
        >
          <span aria-hidden>{one.sign ?? at + 1}</span>
        </button>
      ))}
      {picture && shown && (
        <Loupe
          picture={picture}
          x={(shown.x * picture.width) / width}
          y={(shown.y * picture.height) / height}
          times={4}
          side={shown.x > width / 2 ? "left" : "right"}
        />
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
