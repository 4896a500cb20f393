import { useQueryClient } from "@tanstack/react-query";
import { useEffect, useState } from "react";
import { useAnswer } from "../asking";

/** The program's clock as the page sees it, moved on every ten seconds: instants in ms. */
export function useNowMs(): number {
  const status = useAnswer("status", "status", {});
  const queries = useQueryClient();
  const heardAt = queries.getQueryState(["status", "status", null, null])?.dataUpdatedAt;
  const ahead = status.data && heardAt ? status.data.nowMs - heardAt : 0;
  const [own, setOwn] = useState(() => Date.now());
  useEffect(() => {
    const ticking = window.setInterval(() => setOwn(Date.now()), 10_000);
    return () => window.clearInterval(ticking);
  }, []);
  return own + ahead;
}
