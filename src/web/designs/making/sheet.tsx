import { Button } from "@mantine/core";
import { type KeyboardEvent, type PointerEvent, useEffect, useMemo, useRef, useState } from "react";
import { DrawingEngine } from "../../canvas/engine";
import type { StitchesDrawn } from "../../canvas/stitches";
import type { Item } from "./making";
import type { Made } from "./use-making";

export interface Field {
  readonly widthMm: number;
  readonly heightMm: number;
}

interface SheetProps {
  readonly made: Made | null;
  readonly items: readonly Item[];
  readonly colours: readonly string[];
  readonly cloth: string;
  readonly field: Field | null;
  readonly chosen: string | null;
  readonly busy: boolean;
  readonly onChoose: (key: string | null, part: string | null) => void;
  /** Moves, turns or sizes the chosen thing; `tag` names the step. */
  readonly onPlace: (key: string, set: { xMm?: number; yMm?: number; turnDeg?: number; grow?: number }, tag: string) => void;
} // prettier-ignore

const THREAD_MM = 0.4;
const clamp = (low: number, value: number, high: number) => Math.min(high, Math.max(low, value));
const tenth = (value: number) => Math.round(value * 10) / 10;

type Held =
  | { readonly as: "move"; readonly key: string; readonly fromX: number; readonly fromY: number; readonly xMm: number; readonly yMm: number }
  | { readonly as: "turn"; readonly key: string; readonly x: number; readonly y: number; readonly from: number; readonly turnDeg: number }
  | { readonly as: "size"; readonly key: string; readonly x: number; readonly y: number; readonly from: number }
  | { readonly as: "look"; readonly fromX: number; readonly fromY: number; readonly xMm: number; readonly yMm: number }; // prettier-ignore

/** The frame with what is sewn on it: choose, move, turn and size by dragging, or with the keys. */
export function MakingSheet(props: SheetProps) {
  const { made, items, field, chosen, onPlace, onChoose } = props;
  const box = useRef<HTMLDivElement>(null);
  const room = useRoom(box);
  const fit = useMemo(() => fitOf(made, field, room), [made, field, room]);
  const [own, setOwn] = useState<{ scale: number; xMm: number; yMm: number } | null>(null);
  const view = own ?? fit;
  const held = useRef<Held | null>(null);
  const canvas = useDrawing(made?.stitches ?? null, view, room, props.colours, props.cloth);

  const toX = (mm: number) => room.width / 2 + (mm - view.xMm) * view.scale;
  const toY = (mm: number) => room.height / 2 - (mm - view.yMm) * view.scale;
  const mmAt = (event: { clientX: number; clientY: number }) => {
    const { left, top } = box.current!.getBoundingClientRect();
    return {
      x: view.xMm + (event.clientX - left - room.width / 2) / view.scale,
      y: view.yMm - (event.clientY - top - room.height / 2) / view.scale,
    };
  };
  const boxes = useMemo(() => boxesOf(made, items), [made, items]);
  const chosenBox = chosen === null ? undefined : boxes.get(chosen);
  const zoom = (factor: number) => setOwn({ ...view, scale: clamp(0.3, view.scale * factor, 60) });

  const down = (event: PointerEvent<HTMLDivElement>) => {
    const grip = (event.target as Element).getAttribute("data-grip");
    const at = mmAt(event);
    const item = items.find((one) => one.key === chosen);
    event.currentTarget.setPointerCapture(event.pointerId);
    if (grip && item && chosenBox) {
      const [x, y] = [item.xMm, item.yMm];
      held.current =
        grip === "turn"
          ? { as: "turn", key: item.key, x, y, from: Math.atan2(at.y - y, at.x - x), turnDeg: item.turnDeg }
          : { as: "size", key: item.key, x, y, from: Math.hypot(at.x - x, at.y - y) };
      return;
    }
    const hit = hitOf(made, boxes, items, at, chosen, 10 / view.scale);
    onChoose(hit?.key ?? null, hit?.part ?? null);
    const under = items.find((one) => one.key === hit?.key);
    held.current = under
      ? { as: "move", key: under.key, fromX: at.x, fromY: at.y, xMm: under.xMm, yMm: under.yMm }
      : { as: "look", fromX: event.clientX, fromY: event.clientY, xMm: view.xMm, yMm: view.yMm };
  };
  const move = (event: PointerEvent<HTMLDivElement>) => {
    const grip = held.current;
    if (!grip) return;
    if (grip.as === "look") {
      const [dx, dy] = [event.clientX - grip.fromX, event.clientY - grip.fromY];
      if (Math.hypot(dx, dy) > 4) setOwn({ scale: view.scale, xMm: grip.xMm - dx / view.scale, yMm: grip.yMm + dy / view.scale }); // prettier-ignore
      return;
    }
    const at = mmAt(event);
    if (grip.as === "move") {
      let [xMm, yMm] = [tenth(grip.xMm + at.x - grip.fromX), tenth(grip.yMm + at.y - grip.fromY)];
      // Near the middle lines it comes to lie on them.
      if (Math.abs(xMm) < 6 / view.scale) xMm = 0;
      if (Math.abs(yMm) < 6 / view.scale) yMm = 0;
      if (Math.hypot(at.x - grip.fromX, at.y - grip.fromY) * view.scale > 3) onPlace(grip.key, { xMm, yMm }, `move ${grip.key}`); // prettier-ignore
    } else if (grip.as === "turn") {
      const turn = ((Math.atan2(at.y - grip.y, at.x - grip.x) - grip.from) * 180) / Math.PI + grip.turnDeg;
      const whole = Math.abs(turn - 15 * Math.round(turn / 15)) < 2.5 ? 15 * Math.round(turn / 15) : Math.round(turn); // prettier-ignore
      onPlace(grip.key, { turnDeg: ((((whole + 180) % 360) + 360) % 360) - 180 }, `turn ${grip.key}`);
    } else {
      const far = Math.hypot(at.x - grip.x, at.y - grip.y);
      if (grip.from < 1) return;
      onPlace(grip.key, { grow: far / grip.from }, `size ${grip.key}`);
      held.current = { ...grip, from: far };
    }
  };
  const up = () => void (held.current = null);
  const onKey = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.target !== event.currentTarget) return;
    const item = items.find((one) => one.key === chosen);
    const step = event.shiftKey ? 10 : event.altKey ? 0.1 : 1;
    const ways: Record<string, readonly [number, number]> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }; // prettier-ignore
    const way = ways[event.key];
    if (way && item)
      onPlace(item.key, { xMm: tenth(item.xMm + way[0]), yMm: tenth(item.yMm + way[1]) }, `move ${item.key}`); // prettier-ignore
    else if (event.key === "+" || event.key === "=") zoom(1.25);
    else if (event.key === "-") zoom(0.8);
    else if (event.key === "0") setOwn(null);
    else return;
    event.preventDefault();
  };
  const zoomBy = useRef(zoom);
  useEffect(() => {
    zoomBy.current = zoom;
  });
  useEffect(() => {
    const here = box.current;
    if (!here) return;
    const onWheel = (event: WheelEvent) => {
      if (!event.ctrlKey && document.activeElement !== here) return;
      event.preventDefault();
      zoomBy.current(Math.exp(-event.deltaY * 0.0016));
    };
    here.addEventListener("wheel", onWheel, { passive: false });
    return () => here.removeEventListener("wheel", onWheel);
  }, []);

  return (
    <div className="making-sheet sheet">
      <div
        ref={box}
        className="making-window"
        role="application"
        tabIndex={0}
        aria-label="The frame. Arrows move the chosen thing by 1 mm, with Shift by 10 mm; plus and minus zoom, 0 shows the whole."
        onPointerDown={down}
        onPointerMove={move}
        onPointerUp={up}
        onPointerCancel={up}
        onKeyDown={onKey}
      >
        <canvas ref={canvas} className="making-canvas" />
        {room.width > 0 && (
          <svg className="making-over" width={room.width} height={room.height} aria-hidden>
            <line className="making-middle" x1={toX(0)} x2={toX(0)} y1={0} y2={room.height} />
            <line className="making-middle" y1={toY(0)} y2={toY(0)} x1={0} x2={room.width} />
            {field && (
              <rect
                className="making-field"
                x={toX(-field.widthMm / 2)}
                y={toY(field.heightMm / 2)}
                width={field.widthMm * view.scale}
                height={field.heightMm * view.scale}
                rx={10}
              />
            )}
            {[...boxes].map(([key, one]) => (
              <rect
                key={key}
                className={key === chosen ? "making-box is-chosen" : "making-box"}
                x={toX(one.left) - 5}
                y={toY(one.top) - 5}
                width={(one.right - one.left) * view.scale + 10}
                height={(one.top - one.bottom) * view.scale + 10}
              />
            ))}
            {chosenBox && (
              <>
                <line
                  className="making-stem"
                  x1={toX((chosenBox.left + chosenBox.right) / 2)}
                  x2={toX((chosenBox.left + chosenBox.right) / 2)}
                  y1={toY(chosenBox.top) - 5}
                  y2={toY(chosenBox.top) - 26}
                />
                <circle
                  data-grip="turn"
                  className="making-grip"
                  cx={toX((chosenBox.left + chosenBox.right) / 2)}
                  cy={toY(chosenBox.top) - 30}
                  r={10}
                />
                <rect
                  data-grip="size"
                  className="making-grip"
                  x={toX(chosenBox.right) - 3}
                  y={toY(chosenBox.bottom) - 3}
                  width={18}
                  height={18}
                  rx={3}
                />
              </>
            )}
          </svg>
        )}
      </div>
      <div className="making-sheet-foot">
        <Button variant="default" size="md" aria-label="Zoom out" onClick={() => zoom(0.8)}>
          −
        </Button>
        <Button variant="default" size="md" aria-label="Zoom in" onClick={() => zoom(1.25)}>
          +
        </Button>
        <Button variant="default" size="md" onClick={() => setOwn(null)}>
          Whole
        </Button>
        <span className="quiet making-busy" role="status">
          {props.busy ? "Sewing …" : ""}
        </span>
      </div>
    </div>
  );
}

type Box = NonNullable<Made["preview"]["items"][number]["boxMm"]>;

/** Where things are now: as made, moved on by what was dragged since. */
function boxesOf(made: Made | null, items: readonly Item[]): Map<string, Box> {
  const boxes = new Map<string, Box>();
  for (const item of items) {
    const known = made?.preview.items.find((one) => one.key === item.key)?.boxMm;
    const was = made?.of.items.find((one) => one.key === item.key);
    if (!known || !was) continue;
    const [dx, dy] = [item.xMm - was.xMm, item.yMm - was.yMm];
    boxes.set(item.key, { left: known.left + dx, right: known.right + dx, bottom: known.bottom + dy, top: known.top + dy }); // prettier-ignore
  }
  return boxes;
}

/** What lies under a place: the thread nearest to it, else the thing in whose box it is. */
function hitOf(
  made: Made | null,
  boxes: ReadonlyMap<string, Box>,
  items: readonly Item[],
  at: { x: number; y: number },
  chosen: string | null,
  reachMm: number,
): { key: string; part: string | null } | null {
  if (!made) return null;
  const { xTenths, yTenths, kinds, count, partStarts } = made.stitches;
  let [best, near] = [-1, Math.min(2, reachMm) * 10];
  for (let i = 0; i < count; i++) {
    if (kinds[i] !== 0) continue;
    const far = Math.hypot(xTenths[i]! - at.x * 10, yTenths[i]! - at.y * 10);
    if (far < near) [best, near] = [i, far];
  }
  const part = partStarts.findLastIndex((start) => start <= best);
  const of = best >= 0 ? (made.preview.parts[part]?.of ?? []) : [];
  const inside = (key: string) => {
    const one = boxes.get(key);
    return one && one.left <= at.x && at.x <= one.right && one.bottom <= at.y && at.y <= one.top;
  };
  const sewn = of.find(({ key }) => inside(key));
  if (sewn) return sewn;
  if (chosen && inside(chosen)) return { key: chosen, part: null };
  const under = [...items].reverse().find(({ key }) => inside(key));
  return under ? { key: under.key, part: null } : null;
}

function fitOf(made: Made | null, field: Field | null, room: { width: number; height: number }) {
  const { left, right, bottom, top } = made?.preview.extentsMm ?? { left: 0, right: 0, bottom: 0, top: 0 };
  // In steps, so that the picture does not breathe with each letter typed.
  const half = (a: number, b: number, least: number) => Math.ceil((Math.max(Math.abs(a), Math.abs(b)) + 4) / 15) * 15 || least; // prettier-ignore
  const wide = Math.max(half(left, right, 45), (field?.widthMm ?? 0) / 2 + 6, 45);
  const high = Math.max(half(bottom, top, 30), (field?.heightMm ?? 0) / 2 + 6, 30);
  const scale = Math.max(0.3, Math.min(room.width / (2 * wide), room.height / (2 * high)));
  return { scale, xMm: 0, yMm: 0 };
}

/** Draws the stitches in short slices; the canvas stands as long as the page does. */
function useDrawing(
  stitches: StitchesDrawn | null,
  view: { scale: number; xMm: number; yMm: number },
  room: { width: number; height: number },
  colours: readonly string[],
  cloth: string,
) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const engine = useRef<DrawingEngine | null>(null);
  useEffect(() => {
    const made = new DrawingEngine({
      context: canvas.current!.getContext("2d", { alpha: false })!,
      makeSheet: (width, height) => Object.assign(document.createElement("canvas"), { width, height }),
      nowMs: () => performance.now(),
      rest: () => new Promise((go) => requestAnimationFrame(() => go())),
      told: () => undefined,
    });
    engine.current = made;
    return () => made.end();
  }, []);
  useEffect(() => {
    engine.current?.show({ stitches: stitches ?? NOTHING });
  }, [stitches]);
  useEffect(() => {
    engine.current?.show({ look: { colours, cloth, threadMm: THREAD_MM, showJumps: false, onlyPart: null, upTo: Number.MAX_SAFE_INTEGER } }); // prettier-ignore
  }, [colours, cloth]);
  const ratio = Math.min(2, window.devicePixelRatio || 1);
  const { width, height } = room;
  const { scale, xMm, yMm } = view;
  useEffect(() => {
    if (width > 0)
      engine.current?.show({ view: { widthPx: Math.round(width * ratio), heightPx: Math.round(height * ratio), scale: scale * ratio, xMm, yMm } }); // prettier-ignore
  }, [width, height, ratio, scale, xMm, yMm]);
  return canvas;
}

const NOTHING: StitchesDrawn = { count: 0, kinds: new Uint8Array(0), xTenths: new Int32Array(0), yTenths: new Int32Array(0), bounds: [0, 0, 0, 0], blocks: 0, blockBounds: new Float64Array(0), blockParts: new Int32Array(0), partStarts: [0] }; // prettier-ignore

function useRoom(box: React.RefObject<HTMLDivElement | null>) {
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
