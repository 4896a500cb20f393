import type { Answer, RowName } from "#contract";
import { useMutation, useQuery, useQueryClient, type UseQueryResult } from "@tanstack/react-query";
import { ask, type Given, type Told, type Trouble } from "./client";
import { offerUndo, showTrouble } from "./parts/notices";

/**
 * Asks and keeps the answer. `list` is the first word of the query key, the name of what must change for the
 * answer to be asked for again: "orders", "pieces", "plan", "machines" …
 */
export function useAnswer<N extends RowName>(
  list: string,
  name: N,
  given: Given<N>,
  options: { enabled?: boolean; keep?: boolean } = {},
): UseQueryResult<Answer<N>, Trouble> {
  return useQuery<Answer<N>, Trouble>({
    queryKey: [list, name, given.params ?? null, given.query ?? null],
    queryFn: async ({ signal }) => (await ask(name, { ...given, signal })).value,
    enabled: options.enabled ?? true,
    placeholderData: options.keep === true ? (previous) => previous : undefined,
  });
}

/**
 * Changes something. On success the lists named are asked for again and, where the program can take the change
 * back, an undo is offered for a minute under `done` ("Machine Heron changed"). Trouble is shown unless the
 * caller wants to show it beside the field (`quiet`).
 */
export function useChange<N extends RowName>(
  name: N,
  options: { lists: readonly string[]; done?: string | ((value: Answer<N>) => string); quiet?: true },
) {
  const queries = useQueryClient();
  return useMutation<Told<Answer<N>>, Trouble, Given<N>>({
    mutationFn: (given) => ask(name, given),
    onSuccess: (told) => {
      for (const list of options.lists) void queries.invalidateQueries({ queryKey: [list] });
      const words = typeof options.done === "function" ? options.done(told.value) : options.done;
      if (words !== undefined) offerUndo(words, told.changeId);
    },
    onError: (trouble) => {
      if (options.quiet !== true) showTrouble(trouble);
    },
  });
}
