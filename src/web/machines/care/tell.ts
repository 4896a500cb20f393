import type { FloorEventBody } from "#contract";
import { useChange } from "../../asking";
import { freshId } from "../../station/telling";

type WithoutBase<E> = E extends FloorEventBody ? Omit<E, "id" | "atMs" | "personId"> : never;
export type CareEvent = WithoutBase<FloorEventBody>;

/** Tells one thing from a page that is online; what hangs on it is asked for again. */
export function useTellFloor(done: string) {
  const change = useChange("tellFloor", { lists: ["care", "floor", "machines", "plan"], done });
  return {
    isTelling: change.isPending,
    tell: (event: CareEvent, whenTold?: () => void) => {
      const id = freshId();
      const whole = { ...event, id, atMs: Date.now(), personId: null } as FloorEventBody;
      change.mutate({ body: { events: [whole] }, key: id }, { onSuccess: () => whenTold?.() });
    },
  };
}
