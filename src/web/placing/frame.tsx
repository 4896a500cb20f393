import { useQueryClient } from "@tanstack/react-query";
import { Outlet } from "@tanstack/react-router";
import { useEffect } from "react";
import { listen } from "../live";
import { Notices } from "../parts/notices";
import { sendWaiting } from "../station/telling";

/** The frame of placing: the whole screen for the photo, the way back at its head. */
export function PlaceFrame() {
  const queries = useQueryClient();
  useEffect(
    () =>
      listen(queries, (connected) => {
        if (connected) void sendWaiting();
      }),
    [queries],
  );
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
