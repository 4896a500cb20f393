import { useQueryClient } from "@tanstack/react-query";
import { Outlet } from "@tanstack/react-router";
import { useEffect } from "react";
import { listen } from "../live";
import { sendWaiting } from "./telling";
import "./frame.css";

/** The frame of a station or of a pair of hands: the whole screen, no way to other pages around it. */
export function FloorFrame() {
  const queries = useQueryClient();
  useEffect(
    () =>
      listen(queries, (connected) => {
        if (connected) void sendWaiting();
      }),
    [queries],
  );
  return (
    <main id="main" className="floor-frame" tabIndex={-1}>
      <Outlet />
    </main>
  );
}

/** Whether an address is one of the floor's. */
export const isFloor = (pathname: string): boolean => /^\/(station|hands)\//.test(pathname);
