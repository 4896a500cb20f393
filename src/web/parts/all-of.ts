import { useQuery, type UseQueryResult } from "@tanstack/react-query";
import type { Noun, RowName } from "#contract";
import { ask, type Given, type Trouble } from "../client";
import type { RecordOf } from "./record-form";

/** The most rows one answer may carry. */
const PORTION = 500;

/** A whole list of the studio, for choosing from and for looking up names by id; archived records too when asked. */
export function useAll<N extends Noun>(
  noun: N,
  archived: "no" | "all" = "all",
): UseQueryResult<readonly RecordOf<N>[], Trouble> {
  return useQuery<readonly RecordOf<N>[], Trouble>({
    queryKey: [noun, "all", archived],
    queryFn: async ({ signal }) => {
      const found: RecordOf<N>[] = [];
      for (;;) {
        const given = {
          query: { archived, offset: found.length, limit: PORTION },
          signal,
        } as unknown as Given<RowName>;
        const { items, total } = (await ask(`${noun}.list` as RowName, given)).value as unknown as {
          items: RecordOf<N>[];
          total: number;
        };
        found.push(...items);
        if (items.length === 0 || found.length >= total) return found;
      }
    },
  });
}
