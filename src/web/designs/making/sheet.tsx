import { Button } from "@mantine/core";
import { type KeyboardEvent, type PointerEvent, useEffect, useMemo, useRef, useState } from "react";
import { useRoom } from "../../canvas/use-gestures";
import type { Artwork, Item } from "./making";
import { shapeAt, type ShapeOnFrame } from "./shapes";
import { useDrawing } from "./sheet-drawing";
import { type Box, boxesOf, type Field, fitOf, hitOf } from "./sheet-hits";
import type { Made } from "./use-making";

/** What is chosen on the frame: a thing, in artwork a part of it, in the part a single shape. */
export interface Chosen {
  readonly key: string | null;
  readonly part: string | null;
  readonly shape: string | null;
}

export interface PlaceSet {
  readonly xMm?: number;
  readonly yMm?: number;
  readonly turnDeg?: number;
  readonly grow?: number;
}

interface SheetProps {
  readonly made: Made | null;
  readonly items: readonly Item[];
  readonly colours: readonly string[];
  readonly cloth: string;
  readonly field: Field | null;
  readonly chosen: Chosen;
  /** The single shape that is chosen: dragging moves it alone. */
  readonly shape: ShapeOnFrame | null;
  /** Places of what was found, in mm. */
  readonly marks: readonly { readonly x: number; readonly y: number }[];
  readonly busy: boolean;
  readonly onChoose: (chosen: Chosen) => void;
  /** Moves, turns or sizes a thing; `tag` names the step. */
  readonly onPlace: (key: string, set: PlaceSet, tag: string) => void;
  readonly onPlaceShape: (set: PlaceSet, tag: string) => void;
} // prettier-ignore

const clamp = (low: number, value: number, high: number) => Math.min(high, Math.max(low, value));
const tenth = (value: number) => Math.round(value * 10) / 10;

/** What can be dragged: a thing, or the single shape of a part. */
interface Handle {
  readonly of: "thing" | "shape";
  readonly key: string;
  readonly xMm: number;
  readonly yMm: number;
  readonly turnDeg: number;
  /** It is turned and sized about this place. */
  readonly about: { readonly x: number; readonly y: number };
}

type Held =
  | { readonly as: "move"; readonly handle: Handle; readonly fromX: number; readonly fromY: number; readonly again: boolean }
  | { readonly as: "turn"; readonly handle: Handle; readonly from: number }
  | { readonly as: "size"; readonly handle: Handle; readonly from: number }
  | { readonly as: "look"; readonly fromX: number; readonly fromY: number; readonly xMm: number; readonly yMm: number }; // prettier-ignore

const handleOfItem = (item: Item): Handle => ({ of: "thing", key: item.key, xMm: item.xMm, yMm: item.yMm, turnDeg: item.turnDeg, about: { x: item.xMm, y: item.yMm } }); // prettier-ignore
const handleOfShape = ({ key, xMm, yMm, turnDeg, box }: ShapeOnFrame): Handle => ({ of: "shape", key, xMm, yMm, turnDeg, about: { x: (box.left + box.right) / 2, y: (box.bottom + box.top) / 2 } }); // prettier-ignore
const isIn = (box: Box, { x, y }: { x: number; y: number }, slack: number): boolean =>
  box.left - slack <= x && x <= box.right + slack && box.bottom - slack <= y && y <= box.top + slack;

/** The frame with what is sewn on it: choose, move, turn and size by dragging, or with the keys. */
export function MakingSheet(props: SheetProps) {
  const { made, items, field, chosen, shape, onPlace, onPlaceShape, onChoose } = props;
  const item = items.find((one) => one.key === chosen.key);
  const handle = shape ? handleOfShape(shape) : item ? handleOfItem(item) : null;
  const place = (of: Handle, set: PlaceSet, tag: string) =>
    of.of === "shape" ? onPlaceShape(set, `${tag} ${of.key}`) : onPlace(of.key, set, `${tag} ${of.key}`);
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
  const chosenBox = shape?.box ?? (chosen.key === null ? undefined : boxes.get(chosen.key));
  const zoom = (factor: number) => setOwn({ ...view, scale: clamp(0.3, view.scale * factor, 60) });

  const down = (event: PointerEvent<HTMLDivElement>) => {
    const grip = (event.target as Element).getAttribute("data-grip");
    const at = mmAt(event);
    event.currentTarget.setPointerCapture(event.pointerId);
    if (grip && handle) {
      const { x, y } = handle.about;
      held.current =
        grip === "turn"
          ? { as: "turn", handle, from: Math.atan2(at.y - y, at.x - x) }
          : { as: "size", handle, from: Math.hypot(at.x - x, at.y - y) };
      return;
    }
    if (shape && isIn(shape.box, at, 8 / view.scale)) {
      held.current = { as: "move", handle: handleOfShape(shape), fromX: at.x, fromY: at.y, again: true };
      return;
    }
    const hit = hitOf(made, boxes, items, at, chosen.key, 10 / view.scale);
    const again = hit !== null && hit.part !== null && hit.key === chosen.key && hit.part === chosen.part;
    if (!again) onChoose({ key: hit?.key ?? null, part: hit?.part ?? null, shape: null });
    const under = items.find((one) => one.key === hit?.key);
    held.current = under
      ? { as: "move", handle: handleOfItem(under), fromX: at.x, fromY: at.y, again }
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
    const { about, xMm: wasX, yMm: wasY, turnDeg } = grip.handle;
    if (grip.as === "move") {
      let [xMm, yMm] = [tenth(wasX + at.x - grip.fromX), tenth(wasY + at.y - grip.fromY)];
      // Near the middle lines, a shape near where it was drawn, it comes to lie on them.
      if (Math.abs(xMm) < 6 / view.scale) xMm = 0;
      if (Math.abs(yMm) < 6 / view.scale) yMm = 0;
      if (Math.hypot(at.x - grip.fromX, at.y - grip.fromY) * view.scale <= 3) return;
      held.current = { ...grip, again: false };
      place(grip.handle, { xMm, yMm }, "move");
    } else if (grip.as === "turn") {
      const turn = ((Math.atan2(at.y - about.y, at.x - about.x) - grip.from) * 180) / Math.PI + turnDeg;
      const whole = Math.abs(turn - 15 * Math.round(turn / 15)) < 2.5 ? 15 * Math.round(turn / 15) : Math.round(turn); // prettier-ignore
      place(grip.handle, { turnDeg: ((((whole + 180) % 360) + 360) % 360) - 180 }, "turn");
    } else {
      const far = Math.hypot(at.x - about.x, at.y - about.y);
      if (grip.from < 1) return;
      place(grip.handle, { grow: far / grip.from }, "size");
      held.current = { ...grip, from: far };
    }
  };
  const up = (event: PointerEvent<HTMLDivElement>) => {
    const grip = held.current;
    held.current = null;
    // A second tap on a part, without a drag, takes the single shape there.
    if (grip?.as !== "move" || !grip.again || item?.kind !== "artwork" || chosen.part === null) return;
    const key = shapeAt(made, item as Artwork, chosen.part, mmAt(event));
    if (key) onChoose({ ...chosen, shape: key });
  };
  const onKey = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.target !== event.currentTarget) return;
    const step = event.shiftKey ? 10 : event.altKey ? 0.1 : 1;
    const ways: Record<string, readonly [number, number]> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }; // prettier-ignore
    const way = ways[event.key];
    if (way && handle)
      place(handle, { xMm: tenth(handle.xMm + way[0]), yMm: tenth(handle.yMm + way[1]) }, "move"); // prettier-ignore
    else if (event.key === "Escape" && chosen.part !== null)
      onChoose({ ...chosen, part: chosen.shape === null ? null : chosen.part, shape: null }); // prettier-ignore
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
        aria-label="The frame. Arrows move what is chosen by 1 mm, with Shift by 10 mm; plus and minus zoom, 0 shows the whole, Escape chooses the whole thing again."
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
                className={key === chosen.key && !shape ? "making-box is-chosen" : "making-box"}
                x={toX(one.left) - 5}
                y={toY(one.top) - 5}
                width={(one.right - one.left) * view.scale + 10}
                height={(one.top - one.bottom) * view.scale + 10}
              />
            ))}
            {props.marks.map(({ x, y }, at) => (
              <circle key={at} className="making-mark" cx={toX(x)} cy={toY(y)} r={11} />
            ))}
            {shape && (
              <rect
                className="making-box is-chosen"
                x={toX(shape.box.left) - 4}
                y={toY(shape.box.top) - 4}
                width={(shape.box.right - shape.box.left) * view.scale + 8}
                height={(shape.box.top - shape.box.bottom) * view.scale + 8}
              />
            )}
            {chosenBox && (
              <>
                <line
                  className="making-stem"
                  x1={toX((chosenBox.left + chosenBox.right) / 2)}
                  x2={toX((chosenBox.left + chosenBox.right) / 2)}
                  y1={toY(chosenBox.top) - 5}
                  y2={toY(chosenBox.top) - 26}
                />
                {/* A finger needs more room than the eye. */}
                <circle
                  data-grip="turn"
                  className="making-reach"
                  cx={toX((chosenBox.left + chosenBox.right) / 2)}
                  cy={toY(chosenBox.top) - 30}
                  r={22}
                />
                <circle
                  data-grip="size"
                  className="making-reach"
                  cx={toX(chosenBox.right) + 8}
                  cy={toY(chosenBox.bottom) + 8}
                  r={22}
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
          {props.busy ? "Sewing …" : shape ? "One shape is chosen" : ""}
        </span>
      </div>
    </div>
  );
}
