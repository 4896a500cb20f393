import { Button } from "@mantine/core";
import {
  type KeyboardEvent,
  type PointerEvent,
  type RefObject,
  useCallback,
  useEffect,
  useMemo,
  useRef,
  useState,
} from "react";
import { CardCheck } from "./card-check";
import type { Known, NeedleAt, Progress } from "./messages";
import { Rulers, RULER_PX } from "./rulers";
import { openSurface, type Surface } from "./surface";
import { useTrueSize } from "./true-size";
import "../parts/table.css";
import "./viewer.css";

export interface Marker {
  readonly key: string;
  readonly xMm: number;
  readonly yMm: number;
  readonly words: string;
  readonly level: "note" | "warning" | "stop";
  /** What stands in the marker: the finding's number in the list. */
  readonly text: string;
}

interface ViewerProps {
  /** Address of the stitches as bytes. */
  readonly address: string;
  readonly name: string;
  readonly extentsMm: {
    readonly left: number;
    readonly right: number;
    readonly bottom: number;
    readonly top: number;
  };
  /** `#rrggbb` by part. */
  readonly colours: readonly string[];
  /** What each part is called: "N11 navy". */
  readonly partWords: readonly string[];
  readonly unit: "mm" | "inch";
  readonly stitchesPerMinute: number;
  readonly onlyPart: number | null;
  readonly markers: readonly Marker[];
  /** A marker to bring into view; a new object each time it is asked for. */
  readonly goTo: { readonly xMm: number; readonly yMm: number } | null;
  readonly onMarker: (key: string) => void;
}

interface Window {
  readonly scale: number;
  readonly xMm: number;
  readonly yMm: number;
}

const THREAD_MM = 0.4;
const cloths = [
  { name: "linen", rgb: "#eee6d6" },
  { name: "white cloth", rgb: "#fbfaf7" },
  { name: "grey cloth", rgb: "#8d9096" },
  { name: "navy cloth", rgb: "#1f2b45" },
  { name: "black cloth", rgb: "#1d1d20" },
] as const;
const speeds = [
  { times: 1, words: "as it sews" },
  { times: 10, words: "10 × faster" },
  { times: 60, words: "60 × faster" },
  { times: 600, words: "600 × faster" },
] as const;

const clamp = (low: number, value: number, high: number) => Math.min(high, Math.max(low, value));
const count = new Intl.NumberFormat();

/** The design as thread: move, zoom, measure, play it back. Everything heavy happens in the drawing worker. */
export function Viewer(props: ViewerProps) {
  const { address, extentsMm, colours, stitchesPerMinute, onlyPart, goTo } = props;
  const sizeRef = useRef<HTMLDivElement>(null);
  const { width, height } = useRoom(sizeRef);
  const canvas = useRef<HTMLCanvasElement>(null);
  const surface = useRef<Surface | null>(null);
  const trueSize = useTrueSize();
  const [chosen, setChosen] = useState<Window | "fit">("fit");
  const [known, setKnown] = useState<Known | null>(null);
  const [progress, setProgress] = useState<Progress | null>(null);
  const [needle, setNeedle] = useState<NeedleAt | null>(null);
  const [failed, setFailed] = useState<string | null>(null);
  const [upTo, setUpTo] = useState<number | null>(null);
  const [playing, setPlaying] = useState(false);
  const [speed, setSpeed] = useState(60);
  const [cloth, setCloth] = useState<string>(cloths[0].rgb);
  const [showJumps, setShowJumps] = useState(false);
  const [checking, setChecking] = useState(false);

  useEffect(() => {
    if (!canvas.current) return;
    const open = openSurface(canvas.current, address, {
      onKnown: setKnown,
      onProgress: setProgress,
      onNeedle: setNeedle,
      onFailed: setFailed,
    });
    surface.current = open;
    return () => {
      open.end();
      surface.current = null;
    };
  }, [address]);

  const fit = useMemo<Window>(() => {
    const wide = Math.max(1, extentsMm.right - extentsMm.left);
    const high = Math.max(1, extentsMm.top - extentsMm.bottom);
    const room = { width: Math.max(50, width - RULER_PX - 36), height: Math.max(50, height - RULER_PX - 36) };
    const scale = clamp(0.2, Math.min(room.width / wide, room.height / high), 60);
    return {
      scale,
      xMm: (extentsMm.left + extentsMm.right) / 2 - RULER_PX / 2 / scale,
      yMm: (extentsMm.bottom + extentsMm.top) / 2 + RULER_PX / 2 / scale,
    };
  }, [extentsMm, width, height]);
  const shown = chosen === "fit" ? fit : chosen;
  const now = useRef(shown);
  useEffect(() => {
    now.current = shown;
  });

  const ratio = Math.min(2, window.devicePixelRatio || 1);
  useEffect(() => {
    if (width < 1 || height < 1) return;
    surface.current?.view({
      widthPx: Math.round(width * ratio),
      heightPx: Math.round(height * ratio),
      scale: shown.scale * ratio,
      xMm: shown.xMm,
      yMm: shown.yMm,
    });
  }, [width, height, ratio, shown.scale, shown.xMm, shown.yMm, address]);

  const total = known?.count ?? 0;
  const looked = upTo ?? Number.MAX_SAFE_INTEGER;
  useEffect(() => {
    surface.current?.look({ colours, cloth, threadMm: THREAD_MM, showJumps, onlyPart, upTo: looked });
    if (looked < Number.MAX_SAFE_INTEGER) surface.current?.askAt(looked);
  }, [colours, cloth, showJumps, onlyPart, looked, address]);

  const zoom = useCallback((factor: number, atX?: number, atY?: number) => {
    const { scale, xMm, yMm } = now.current;
    const next = clamp(0.2, scale * factor, 240);
    const box = sizeRef.current?.getBoundingClientRect();
    const px = atX === undefined || !box ? 0 : atX - box.left - box.width / 2;
    const py = atY === undefined || !box ? 0 : atY - box.top - box.height / 2;
    // The point under the pointer stays where it is.
    setChosen({ scale: next, xMm: xMm + px / scale - px / next, yMm: yMm - py / scale + py / next });
  }, []);
  const move = useCallback((dx: number, dy: number) => {
    const { scale, xMm, yMm } = now.current;
    setChosen({ scale, xMm: xMm - dx / scale, yMm: yMm + dy / scale });
  }, []);

  useEffect(() => {
    // React's wheel listeners are passive; this one must keep the page from scrolling.
    const box = sizeRef.current;
    if (!box) return;
    const onWheel = (event: WheelEvent) => {
      event.preventDefault();
      zoom(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0016)), event.clientX, event.clientY);
    };
    box.addEventListener("wheel", onWheel, { passive: false });
    return () => box.removeEventListener("wheel", onWheel);
  }, [zoom]);

  useEffect(() => {
    if (goTo) setChosen({ scale: Math.max(now.current.scale, 14), xMm: goTo.xMm, yMm: goTo.yMm });
  }, [goTo]);

  useEffect(() => {
    if (!playing || total === 0) return;
    let frame = 0;
    let before = performance.now();
    let at = upTo === null || upTo >= total ? 0 : upTo;
    const next = (ms: number) => {
      at += ((ms - before) / 60_000) * stitchesPerMinute * speed;
      before = ms;
      if (at >= total) {
        setUpTo(null);
        setNeedle(null);
        setPlaying(false);
        return;
      }
      setUpTo(Math.floor(at));
      frame = requestAnimationFrame(next);
    };
    frame = requestAnimationFrame(next);
    return () => cancelAnimationFrame(frame);
    // The place it starts from is read once, when it starts.
    // eslint-disable-next-line react-hooks/exhaustive-deps
  }, [playing, total, speed, stitchesPerMinute]);

  const gestures = useGestures(move, zoom);
  const atTrueSize = Math.abs(shown.scale - trueSize.pxPerMm) < 0.001;
  const onKey = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const acts: Record<string, () => void> = {
      ArrowLeft: () => move(60, 0),
      ArrowRight: () => move(-60, 0),
      ArrowUp: () => move(0, 60),
      ArrowDown: () => move(0, -60),
      "+": () => zoom(1.25),
      "=": () => zoom(1.25),
      "-": () => zoom(0.8),
      "0": () => setChosen("fit"),
      "1": () => setChosen({ ...now.current, scale: trueSize.pxPerMm }),
      " ": () => setPlaying((is) => !is),
    };
    const act = acts[event.key];
    if (!act || event.target !== event.currentTarget) return;
    event.preventDefault();
    act();
  };

  const view = { width, height, ...shown };
  const toX = (mm: number) => width / 2 + (mm - shown.xMm) * shown.scale;
  const toY = (mm: number) => height / 2 - (mm - shown.yMm) * shown.scale;
  return (
    <div className="viewer sheet">
      <div className="viewer-tools">
        <Button variant="default" size="md" aria-label="Zoom out" onClick={() => zoom(0.8)}>
          −
        </Button>
        <Button variant="default" size="md" aria-label="Zoom in" onClick={() => zoom(1.25)}>
          +
        </Button>
        <Button
          variant={chosen === "fit" ? "filled" : "default"}
          size="md"
          aria-pressed={chosen === "fit"}
          onClick={() => setChosen("fit")}
        >
          Whole
        </Button>
        <Button
          variant={atTrueSize ? "filled" : "default"}
          size="md"
          aria-pressed={atTrueSize}
          onClick={() => setChosen({ ...now.current, scale: trueSize.pxPerMm })}
        >
          True size
        </Button>
        <Button variant="subtle" size="md" onClick={() => setChecking(true)}>
          {trueSize.checked ? "Size checked" : "Check size"}
        </Button>
        <label className="viewer-choice">
          <span className="visually-hidden">Cloth behind the design</span>
          <select
            className="plain-select"
            value={cloth}
            onChange={(event) => setCloth(event.currentTarget.value)}
          >
            {cloths.map(({ name, rgb }) => (
              <option key={rgb} value={rgb}>
                on {name}
              </option>
            ))}
          </select>
        </label>
        <label className="viewer-check">
          <input
            type="checkbox"
            checked={showJumps}
            onChange={(event) => setShowJumps(event.currentTarget.checked)}
          />{" "}
          jumps
        </label>
      </div>
      <div
        ref={sizeRef}
        className="viewer-window"
        role="application"
        aria-label={`${props.name} as thread. Arrows move, plus and minus zoom, 0 shows the whole, 1 true size, space plays.`}
        tabIndex={0}
        onKeyDown={onKey}
        onDoubleClick={(event) => zoom(1.6, event.clientX, event.clientY)}
        {...gestures}
      >
        <canvas ref={canvas} key={address} className="viewer-canvas" />
        {width > 0 && (
          <svg className="viewer-over" width={width} height={height}>
            <Rulers view={view} unit={props.unit} leftMm={extentsMm.left} bottomMm={extentsMm.bottom} />
            {upTo !== null && needle && (
              <g
                className="viewer-needle"
                transform={`translate(${toX(needle.xMm)} ${toY(needle.yMm)})`}
                aria-hidden
              >
                <line y1={-44} y2={-3} />
                <circle r={4} />
              </g>
            )}
          </svg>
        )}
        {width > 0 &&
          props.markers.map((marker) => {
            const [x, y] = [toX(marker.xMm), toY(marker.yMm)];
            if (x < RULER_PX || x > width || y < RULER_PX || y > height) return null;
            return (
              <button
                key={marker.key}
                type="button"
                className={`viewer-marker is-${marker.level}`}
                style={{ left: x, top: y }}
                onClick={() => props.onMarker(marker.key)}
                aria-label={`Finding ${marker.text}: ${marker.words}`}
                title={marker.words}
              >
                <span>{marker.text}</span>
              </button>
            );
          })}
        {failed && (
          <div className="viewer-failed" role="alert">
            <strong>The picture cannot be shown.</strong>
            <span>{failed}</span>
          </div>
        )}
        {!failed &&
          (!known ||
            (progress &&
              !progress.done &&
              progress.drawn < progress.of &&
              progress.tookMs > 250 &&
              !playing)) && (
            <p className="viewer-progress" role="status">
              {known && progress
                ? `Drawing ${Math.floor((100 * progress.drawn) / Math.max(1, progress.of))} %`
                : "Fetching the stitches …"}
            </p>
          )}
      </div>
      <div className="viewer-play">
        <Button size="md" className="viewer-go" disabled={total === 0} onClick={() => setPlaying(!playing)}>
          {playing ? "Pause" : "Play"}
        </Button>
        <input
          className="canvas-range"
          type="range"
          aria-label="Stitch shown last"
          aria-valuetext={`${count.format(upTo ?? total)} of ${count.format(total)}`}
          min={0}
          max={Math.max(1, total)}
          step={1}
          value={upTo ?? total}
          disabled={total === 0}
          onChange={(event) => {
            setPlaying(false);
            const value = Number(event.currentTarget.value);
            setUpTo(value >= total ? null : value);
          }}
        />
        <label className="viewer-choice">
          <span className="visually-hidden">Speed</span>
          <select
            className="plain-select"
            value={speed}
            onChange={(event) => setSpeed(Number(event.currentTarget.value))}
          >
            {speeds.map(({ times, words }) => (
              <option key={times} value={times}>
                {words}
              </option>
            ))}
          </select>
        </label>
        <p className="viewer-where">
          {total === 0
            ? " "
            : upTo === null
              ? `all ${count.format(total)} records`
              : `${count.format(upTo)} of ${count.format(total)}${needle ? ` · part ${needle.part + 1}: ${props.partWords[needle.part] ?? ""}` : ""}`}
        </p>
      </div>
      {checking && <CardCheck opened onClose={() => setChecking(false)} />}
    </div>
  );
}

/** The element's inner size in CSS pixels; zeros until it is laid out. */
function useRoom(box: RefObject<HTMLDivElement | null>) {
  const [room, setRoom] = useState({ width: 0, height: 0 });
  useEffect(() => {
    if (!box.current) return;
    const watch = new ResizeObserver(([entry]) => {
      const { width, height } = entry!.contentRect;
      setRoom({ width: Math.round(width), height: Math.round(height) });
    });
    watch.observe(box.current);
    return () => watch.disconnect();
  }, [box]);
  return room;
}

/** One pointer moves, two pinch. */
function useGestures(
  move: (dx: number, dy: number) => void,
  zoom: (factor: number, x: number, y: number) => void,
) {
  const pointers = useRef(new Map<number, { x: number; y: number }>());
  return {
    onPointerDown: (event: PointerEvent<HTMLDivElement>) => {
      if ((event.target as HTMLElement).closest("button")) return;
      event.currentTarget.setPointerCapture(event.pointerId);
      pointers.current.set(event.pointerId, { x: event.clientX, y: event.clientY });
    },
    onPointerMove: (event: PointerEvent<HTMLDivElement>) => {
      const held = pointers.current;
      const before = held.get(event.pointerId);
      if (!before) return;
      const here = { x: event.clientX, y: event.clientY };
      if (held.size === 1) move(here.x - before.x, here.y - before.y);
      else if (held.size === 2) {
        const other = [...held.entries()].find(([key]) => key !== event.pointerId)![1];
        const was = Math.hypot(before.x - other.x, before.y - other.y);
        const is = Math.hypot(here.x - other.x, here.y - other.y);
        if (was > 8 && is > 8) zoom(is / was, (here.x + other.x) / 2, (here.y + other.y) / 2);
      }
      held.set(event.pointerId, here);
    },
    onPointerUp: (event: PointerEvent<HTMLDivElement>) => void pointers.current.delete(event.pointerId),
    onPointerCancel: (event: PointerEvent<HTMLDivElement>) => void pointers.current.delete(event.pointerId),
  };
}
