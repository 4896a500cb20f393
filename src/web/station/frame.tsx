import { Outlet } from "@tanstack/react-router";
import { useLive } from "./use-live";
import "./frame.css";

/** The frame of a station or of a pair of hands: the whole screen, no way to other pages around it. */
export function FloorFrame() {
  useLive();
  return (
    <main id="main" className="floor-frame" tabIndex={-1}>
      <Outlet />
    </main>
  );
}

/** Whether an address is one of the floor's. */
export const isFloor = (pathname: string): boolean => /^\/(station|hands)\//.test(pathname);
