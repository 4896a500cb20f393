import type { DensityGrid } from "#drawing";
import { type KeyboardEvent, useCallback, useEffect, useMemo, useRef, useState } from "react";
import { CardCheck } from "./card-check";
import { DensityKey, DensityLayer } from "./density-layer";
import type { Known, NeedleAt, Progress } from "./messages";
import { placeMarks } from "./marks";
import { PlayBar } from "./play-bar";
import { Rulers, RULER_PX } from "./rulers";
import { openSurface, type Surface } from "./surface";
import type { Pace } from "./timeline";
import { useTrueSize } from "./true-size";
import { useGestures, useRoom } from "./use-gestures";
import { usePlay } from "./use-play";
import { cloths, ViewerTools } from "./viewer-tools";
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
  /** The machine it is played back on; its name is null where the shop has none. */
  readonly pace: Pace & { readonly machine: string | null };
  /** Whether a part is sewn with the thread of the part before. */
  readonly sameThread?: (part: number) => boolean;
  readonly needleOf?: (part: number) => number | null;
  readonly onlyPart: number | null;
  readonly hiddenParts?: readonly number[];
  /** The finding that is chosen in the list. */
  readonly chosen?: string | null;
  readonly markers: readonly Marker[];
  /** Further places of the finding that is chosen, each a ring on the picture. */
  readonly spots?: readonly { readonly xMm: number; readonly yMm: number }[];
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
const clamp = (low: number, value: number, high: number) => Math.min(high, Math.max(low, value));
const never = () => false;
const none = () => null;

/** The design as thread: move, zoom, measure, play it back. Everything heavy happens in the drawing worker. */
export function Viewer(props: ViewerProps) {
  const { address, extentsMm, colours, pace, onlyPart, goTo, hiddenParts } = props;
  const { sameThread = never, needleOf = none } = props;
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
  const [cloth, setCloth] = useState<string>(cloths[0].rgb);
  const [showJumps, setShowJumps] = useState(false);
  const [checking, setChecking] = useState(false);
  const [showDensity, setShowDensity] = useState(false);
  const [density, setDensity] = useState<DensityGrid | null>(null);
  const play = usePlay({ kinds: known?.kinds, pace, sameThread });
  const { upTo, playing } = play;

  useEffect(() => {
    if (!canvas.current) return;
    const open = openSurface(canvas.current, address, {
      onKnown: setKnown,
      onProgress: setProgress,
      onNeedle: setNeedle,
      onDensity: setDensity,
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

  useEffect(() => {
    if (showDensity && known && !density) surface.current?.askDensity();
  }, [showDensity, known, density]);

  const looked = upTo ?? Number.MAX_SAFE_INTEGER;
  useEffect(() => {
    surface.current?.look({
      colours,
      cloth,
      threadMm: THREAD_MM,
      showJumps,
      onlyPart,
      ...(hiddenParts ? { hiddenParts } : {}),
      upTo: looked,
    });
    if (looked < Number.MAX_SAFE_INTEGER) surface.current?.askAt(looked);
  }, [colours, cloth, showJumps, onlyPart, hiddenParts, looked, address]);

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
      " ": play.toggle,
      ",": () => play.step(-1),
      ".": () => play.step(1),
      "[": () => play.stepPart(-1, known?.partStarts ?? []),
      "]": () => play.stepPart(1, known?.partStarts ?? []),
      Home: () => play.goTo(0),
      End: () => play.goTo(play.total),
    };
    const act = acts[event.key];
    if (!act || event.target !== event.currentTarget) return;
    event.preventDefault();
    act();
  };

  const view = { width, height, ...shown };
  const toX = (mm: number) => width / 2 + (mm - shown.xMm) * shown.scale;
  const toY = (mm: number) => height / 2 - (mm - shown.yMm) * shown.scale;
  const seen = props.markers.filter(({ xMm, yMm }) => {
    const [x, y] = [toX(xMm), toY(yMm)];
    return width > 0 && RULER_PX <= x && x <= width && RULER_PX <= y && y <= height;
  });
  const places = placeMarks(
    seen.map(({ xMm, yMm }) => ({ x: toX(xMm), y: toY(yMm) })),
    { left: RULER_PX, top: RULER_PX, right: width, bottom: height },
  );
  return (
    <div className="viewer sheet">
      <ViewerTools
        zoom={zoom}
        whole={chosen === "fit"}
        onWhole={() => setChosen("fit")}
        trueSize={atTrueSize}
        onTrueSize={() => setChosen({ ...now.current, scale: trueSize.pxPerMm })}
        sizeChecked={trueSize.checked}
        onCheckSize={() => setChecking(true)}
        cloth={cloth}
        onCloth={setCloth}
        showJumps={showJumps}
        onShowJumps={setShowJumps}
        showDensity={showDensity}
        onShowDensity={setShowDensity}
      />
      <div
        ref={sizeRef}
        className="viewer-window"
        role="application"
        aria-label={`${props.name} as thread. Arrows move, plus and minus zoom, 0 shows the whole, 1 true size, space plays, comma and full stop go a stitch back and on, square brackets a part.`}
        tabIndex={0}
        onKeyDown={onKey}
        onDoubleClick={(event) => zoom(1.6, event.clientX, event.clientY)}
        {...gestures}
      >
        <canvas ref={canvas} key={address} className="viewer-canvas" />
        {showDensity && density && width > 0 && (
          <DensityLayer grid={density} toX={toX} toY={toY} scale={shown.scale} />
        )}
        {width > 0 && (
          <svg className="viewer-over" width={width} height={height}>
            <Rulers view={view} unit={props.unit} leftMm={extentsMm.left} bottomMm={extentsMm.bottom} />
            {(props.spots ?? []).map(({ xMm, yMm }, at) => (
              <circle key={at} className="viewer-spot" cx={toX(xMm)} cy={toY(yMm)} r={9} aria-hidden />
            ))}
            {places.map(({ atX, atY, x, y }, index) =>
              x === atX && y === atY ? null : (
                <g key={seen[index]!.key} className="viewer-lead" aria-hidden>
                  <line x1={atX} y1={atY} x2={x} y2={y} />
                  <circle cx={atX} cy={atY} r={3.5} />
                </g>
              ),
            )}
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
        {seen.map((marker, index) => {
          const { x, y } = places[index]!;
          return (
            <button
              key={marker.key}
              type="button"
              className={`viewer-marker is-${marker.level}`}
              data-chosen={props.chosen === marker.key || undefined}
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
      {showDensity && density && <DensityKey most={density.most} />}
      <PlayBar
        play={play}
        known={known}
        needle={needle}
        partWords={props.partWords}
        machine={pace.machine}
        needleOf={needleOf}
      />
      {checking && <CardCheck opened onClose={() => setChecking(false)} />}
    </div>
  );
}
