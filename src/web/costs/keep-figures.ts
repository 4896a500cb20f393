import { useState } from "react";
import type { Answer, costs } from "#contract";
import { useChange } from "../asking";

/** What is typed into a list of figures and not saved yet, by the thing's id; saved all at once. */

export type Kept = Answer<"readCosts">["figures"];

export function useFigures<K extends costs.CostFigure["of"]>(of: K, figures: Kept, words: string) {
  type Figure = Extract<costs.CostFigure, { of: K }>;
  const [typed, setTyped] = useState<ReadonlyMap<string, Figure | null>>(new Map());
  const change = useChange("keepCostFigures", {
    lists: ["costs"],
    done: (told) => `${told.kept === 1 ? "One figure" : `${told.kept} figures`} ${words}.`,
  });
  const there = new Map(figures.map((one) => [one.subjectId, one]));
  return {
    of(id: string): Figure | null {
      if (typed.has(id)) return typed.get(id)!;
      const kept = there.get(id)?.figure;
      return kept?.of === of ? (kept as Figure) : null;
    },
    set: (id: string, figure: Figure | null) => setTyped((was) => new Map(was).set(id, figure)),
    changed: typed.size,
    isSaving: change.isPending,
    drop: () => setTyped(new Map()),
    save: () =>
      change.mutate(
        {
          body: {
            figures: [...typed].map(([subjectId, figure]) => ({
              subjectId,
              version: there.get(subjectId)?.version ?? 0,
              of,
              figure,
            })),
          },
        },
        { onSuccess: () => setTyped(new Map()) },
      ),
  };
}
