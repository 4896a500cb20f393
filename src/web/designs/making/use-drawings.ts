import { useState } from "react";
import { ask, Trouble } from "../../client";
import { freshKey, type Item, type Making } from "./making";

/** Takes in drawings and pictures and puts each on the frame. */
export function useDrawings(making: Making, add: (item: Item) => void) {
  const [said, setSaid] = useState<{ readonly words: string; readonly wrong: boolean } | null>(null);
  const bring = async (files: readonly File[]) => {
    for (const file of files)
      try {
        setSaid({ words: `Reading ${file.name} …`, wrong: false });
        const { value } = await ask("addArtwork", { query: { name: file.name }, body: file });
        const widthMm = Math.min(120, Math.max(20, Math.round((value.naturalMm?.width ?? 80) * 10) / 10));
        add({
          kind: "artwork",
          key: freshKey(making),
          xMm: 0,
          yMm: 0,
          turnDeg: 0,
          fileHash: value.fileHash,
          fileName: value.fileName,
          widthMm,
          mostColours: value.kind === "picture" ? 6 : 12,
          ground: "leave out",
          parts: [],
        });
        setSaid(null);
      } catch (reason) {
        const problem = reason instanceof Trouble ? reason.problem : null;
        setSaid({
          words: `${file.name}: ${problem ? `${problem.detail} ${problem.advice}` : String(reason)}`,
          wrong: true,
        });
      }
  };
  return { said, bring };
}
