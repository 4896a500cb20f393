import { Outlet } from "@tanstack/react-router";
import { Notices } from "../parts/notices";
import { useLive } from "../station/use-live";

/** The frame of placing: the whole screen for the photo, the way back at its head. */
export function PlaceFrame() {
  useLive();
  return (
    <>
      <main id="main" className="place-frame" tabIndex={-1}>
        <Outlet />
      </main>
      <Notices />
    </>
  );
}

/** Whether an address is a placing's. */
export const isPlacing = (pathname: string): boolean => pathname.startsWith("/place/");
