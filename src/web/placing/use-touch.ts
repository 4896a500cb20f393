import { type PointerEvent, type RefObject, useEffect, useRef, useState } from "react";
import type { PlaneProps } from "./plane";
import { useZoom } from "./use-zoom";
import { type InWindow, shareAt, type Zoom, zoomedTo } from "./zoom";

interface Drag {
  readonly id: string;
  readonly clientX: number;
  readonly clientY: number;
  readonly x: number;
  readonly y: number;
  readonly by: "mouse" | "finger";
}

/** A finger covers what it points at and trembles: near where it began, the place moves less than the finger does. */
const TOUCH_RATE = 0.4;
/** Further off it is on its way to another place, and takes it along. */
const NEAR_PX = 48;

/** How far a place goes with a finger that went so far, px. */
export const withFinger = (px: number): number =>
  px <= NEAR_PX ? TOUCH_RATE * px : px - (1 - TOUCH_RATE) * NEAR_PX;
/** A finger that stays so long, or moves so far, touches; before that a second one may come to bring the picture closer. */
const TOUCH_MS = 130;
const TOUCH_PX = 8;
export const within = (value: number, most: number): number => Math.min(most, Math.max(0, value));

/** Fingers and mouse on the picture: a press lays a place and moves it on, two fingers bring the picture closer. */
export function useTouch(props: PlaneProps, root: RefObject<HTMLDivElement | null>) {
  const { width, height, onAdd, onMove } = props;
  const latest = useRef(props);
  useEffect(() => void (latest.current = props));
  const [drag, setDrag] = useState<Drag | null>(null);
  const waiting = useRef<{ readonly timer: number; readonly event: PointerEvent } | null>(null);
  const pan = useRef<{ readonly zoom: Zoom; readonly from: InWindow } | null>(null);
  const forget = () => {
    if (waiting.current) window.clearTimeout(waiting.current.timer);
    waiting.current = null;
  };
  const { zoom, setZoom, pressed, moved, left, closer, placeOf } = useZoom(root, () => {
    forget();
    // What moved a little before the second finger came goes back.
    if (drag) onMove?.(drag.id, drag.x, drag.y);
    setDrag(null);
  });
  const scale = () => ((root.current?.getBoundingClientRect().width ?? width) / width) * zoom.times;
  const begin = (event: PointerEvent, id: string, x: number, y: number) => {
    root.current?.setPointerCapture(event.pointerId);
    const by = event.pointerType === "mouse" ? "mouse" : "finger";
    setDrag({ id, clientX: event.clientX, clientY: event.clientY, x, y, by });
  };
  const at = (event: PointerEvent) => {
    const share = shareAt(zoom, placeOf(event));
    return { x: within(share.x * width, width), y: within(share.y * height, height) };
  };
  const addAt = (event: PointerEvent) => onAdd?.(at(event).x, at(event).y) ?? null;
  /** Lays a place and moves it on; where nothing is laid any more, moves a picture that was brought closer. */
  const lay = (event: PointerEvent): void => {
    forget();
    const id = addAt(event);
    if (id !== null) begin(event, id, at(event).x, at(event).y);
    else pan.current = { zoom, from: placeOf(event) };
  };
  const press = (event: PointerEvent) => {
    if (event.button !== 0 || !root.current) return;
    if (event.pointerType === "mouse" || !onAdd) {
      lay(event);
      return;
    }
    root.current.setPointerCapture(event.pointerId);
    waiting.current = { event, timer: window.setTimeout(() => lay(event), TOUCH_MS) };
  };
  const move = (event: PointerEvent) => {
    if (moved(event)) return;
    const first = waiting.current?.event;
    if (first && Math.hypot(event.clientX - first.clientX, event.clientY - first.clientY) > TOUCH_PX)
      lay(first);
    if (pan.current)
      return setZoom(zoomedTo(pan.current.zoom, pan.current.zoom.times, pan.current.from, placeOf(event)));
    if (!drag) return;
    const [right, down] = [event.clientX - drag.clientX, event.clientY - drag.clientY];
    const px = Math.hypot(right, down);
    const rate = (drag.by === "mouse" || px === 0 ? 1 : withFinger(px) / px) / scale();
    onMove?.(drag.id, within(drag.x + right * rate, width), within(drag.y + down * rate, height));
  };
  const end = (event: PointerEvent) => {
    pan.current = null;
    if (left(event)) return forget();
    const tapped = waiting.current?.event;
    forget();
    const id = tapped ? addAt(tapped) : drag?.id;
    setDrag(null);
    // What follows asks for what was just laid, which stands in the next picture only.
    if (id) window.setTimeout(() => latest.current.onDone?.(id));
  };
  const first = (event: PointerEvent) => {
    if (!pressed(event)) return;
    event.stopPropagation();
    root.current?.setPointerCapture(event.pointerId);
  };
  return { zoom, setZoom, closer, drag, begin, first, press, move, end } as const;
}
