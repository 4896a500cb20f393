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

/** "N2" comes before "N11", and upper and lower case stand together. */
const natural = new Intl.Collator(undefined, { numeric: true, sensitivity: "base" });

/** Sorted by a field of theirs, "-field" for falling, then by code; numbers by size, words by the alphabet. */
export function sortedBy<T extends { readonly code: string }>(items: readonly T[], sort: string): T[] {
  const field = (sort.replace(/^-/, "") || "code") as keyof T;
  const turn = sort.startsWith("-") ? -1 : 1;
  const compare = (a: unknown, b: unknown) =>
    typeof a === "number" && typeof b === "number" ? a - b : natural.compare(String(a), String(b));
  return [...items].sort((a, b) => turn * compare(a[field], b[field]) || natural.compare(a.code, b.code));
}

/** Whether every word searched for stands somewhere in a text, upper and lower case alike. */
export const saysAll = (q: string, text: string): boolean => {
  const lower = text.toLowerCase();
  return q
    .toLowerCase()
    .split(/\s+/)
    .every((word) => lower.includes(word));
};
