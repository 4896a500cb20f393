import { type PointerEvent, type RefObject, useEffect, useRef, useState } from "react";

/** The element's inner size in CSS pixels; zeros until it is laid out. */
export function useRoom(box: RefObject<HTMLDivElement | null>) {
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

/** One pointer moves, two pinch and move together. */
export function useGestures(
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
        // What lies between the fingers goes with them: half of one finger's way each.
        move((here.x - before.x) / 2, (here.y - before.y) / 2);
        if (was > 8 && is > 8) zoom(is / was, (here.x + other.x) / 2, (here.y + other.y) / 2);
      }
      held.set(event.pointerId, here);
    },
    onPointerUp: (event: PointerEvent<HTMLDivElement>) => void pointers.current.delete(event.pointerId),
    onPointerCancel: (event: PointerEvent<HTMLDivElement>) => void pointers.current.delete(event.pointerId),
  };
}
