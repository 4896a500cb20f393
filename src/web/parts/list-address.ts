import { useNavigate, useSearch } from "@tanstack/react-router";
import { useCallback, useMemo } from "react";

/** The words of a list that stand in the address, so that what is looked at can be linked to and gone back to. */
export interface ListAddress {
  /** Words searched for. */
  readonly q: string;
  /** A field's name, with a minus before it for descending. */
  readonly sort: string;
  readonly archived: "no" | "yes" | "all";
  readonly offset: number;
  readonly limit: number;
  /** Any other word of the address ("" where it is absent), such as a filter of the page's own. */
  readonly word: (name: string) => string;
  /** Changes words; "" or undefined takes one out. A change of the search, the sorting or a filter goes back to the first page. */
  readonly set: (words: Readonly<Record<string, string | undefined>>, how?: "replace" | "push") => void;
  /** What a list row of the contract is asked with. */
  readonly query: {
    readonly q: string;
    readonly sort: string;
    readonly archived: "no" | "yes" | "all";
    readonly offset: number;
    readonly limit: number;
  };
}

/** Reads and writes a list's words in the address. `sort` and `limit` are what holds where the address says nothing. */
export function useListAddress({
  sort = "",
  limit = 100,
}: { readonly sort?: string; readonly limit?: number } = {}): ListAddress {
  const search = useSearch({ strict: false }) as Readonly<Record<string, string | undefined>>;
  const navigate = useNavigate();
  const set = useCallback<ListAddress["set"]>(
    (words, how = "replace") => {
      const backToFirst = "offset" in words || "edit" in words ? {} : { offset: undefined };
      const cleaned = Object.fromEntries(
        Object.entries({ ...backToFirst, ...words }).map(([name, value]) => [
          name,
          value === "" ? undefined : value,
        ]),
      );
      void navigate({
        to: ".",
        search: ((now: Record<string, string | undefined>) => ({ ...now, ...cleaned })) as never,
        replace: how === "replace",
        resetScroll: false,
      });
    },
    [navigate],
  );
  // The same words give the same address, so that what is worked out from it need not be again.
  return useMemo(() => {
    const archived = search.archived === "yes" || search.archived === "all" ? search.archived : "no";
    const offset = Math.max(0, Math.floor(Number(search.offset ?? 0)) || 0);
    const query = { q: search.q ?? "", sort: search.sort ?? sort, archived, offset, limit } as const;
    return { ...query, word: (name) => search[name] ?? "", set, query };
  }, [search, sort, limit, set]);
}
