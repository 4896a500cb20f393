import { type PointerEvent, type RefObject, useEffect, useRef, useState } from "react";
import { type InWindow, WHOLE, type Zoom, zoomedTo } from "./zoom";

interface Pinch {
  readonly zoom: Zoom;
  readonly middle: InWindow;
  readonly apart: number;
}

/** A wheel's turn by this many px doubles or halves. */
const WHEEL_PX = 500;

/** Two fingers or the wheel bring a picture closer; one finger stays the touch's own. */
export function useZoom(root: RefObject<HTMLElement | null>, onPinch: () => void) {
  const [zoom, setZoom] = useState<Zoom>(WHOLE);
  const fingers = useRef(new Map<number, InWindow>());
  const pinch = useRef<Pinch | null>(null);
  const placeOf = ({
    clientX,
    clientY,
  }: {
    readonly clientX: number;
    readonly clientY: number;
  }): InWindow => {
    const box = root.current!.getBoundingClientRect();
    return { x: (clientX - box.left) / box.width, y: (clientY - box.top) / box.height };
  };
  const spanOf = () => {
    const [a, b] = [...fingers.current.values()] as [InWindow, InWindow];
    const box = root.current!.getBoundingClientRect();
    return {
      middle: { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 },
      apart: Math.max(20, Math.hypot((a.x - b.x) * box.width, (a.y - b.y) * box.height)),
    };
  };

  useEffect(() => {
    const sheet = root.current;
    if (!sheet) return;
    const turn = (event: WheelEvent) => {
      const box = sheet.getBoundingClientRect();
      const at = { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
      const by = 2 ** (-event.deltaY / WHEEL_PX);
      setZoom((now) => {
        const next = zoomedTo(now, now.times * by, at);
        // As small as it gets, the page itself is scrolled.
        if (next.times !== now.times || now.times > 1) event.preventDefault();
        return next;
      });
    };
    sheet.addEventListener("wheel", turn, { passive: false });
    return () => sheet.removeEventListener("wheel", turn);
  }, [root]);

  /** Each gives whether the event was two fingers' and nobody else's. */
  const pressed = (event: PointerEvent): boolean => {
    if (event.pointerType !== "touch") return false;
    fingers.current.set(event.pointerId, placeOf(event));
    if (fingers.current.size !== 2) return pinch.current !== null;
    pinch.current = { zoom, ...spanOf() };
    onPinch();
    return true;
  };
  const moved = (event: PointerEvent): boolean => {
    if (!fingers.current.has(event.pointerId)) return pinch.current !== null;
    fingers.current.set(event.pointerId, placeOf(event));
    const began = pinch.current;
    if (!began) return false;
    if (fingers.current.size === 2) {
      const { middle, apart } = spanOf();
      setZoom(zoomedTo(began.zoom, (began.zoom.times * apart) / began.apart, began.middle, middle));
    }
    return true;
  };
  const left = (event: PointerEvent): boolean => {
    fingers.current.delete(event.pointerId);
    const was = pinch.current !== null;
    // The finger that stays is not a touch.
    if (fingers.current.size === 0) pinch.current = null;
    return was;
  };
  const closer = (by: number) => setZoom((now) => zoomedTo(now, now.times * by, { x: 0.5, y: 0.5 }));
  return { zoom, setZoom, pressed, moved, left, closer, placeOf } as const;
}
