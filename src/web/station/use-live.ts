import { useQueryClient } from "@tanstack/react-query";
import { useEffect } from "react";
import { listen } from "../live";
import { sendWaiting } from "./telling";

/** For frames that fill the screen: open pages follow the program, and what was told meanwhile is sent when it is back. */
export function useLive(): void {
  const queries = useQueryClient();
  useEffect(
    () =>
      listen(queries, (connected) => {
        if (connected) void sendWaiting();
      }),
    [queries],
  );
}
