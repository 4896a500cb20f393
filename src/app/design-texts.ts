import type { HandMaking } from "./design-making-sew";
import type { Making } from "./personal-designs";
import type { DesignVersionRow } from "./records";

/** The making of a version made by hand; null for recipes and machine files. */
export function handMakingOf(making: string | null): HandMaking | null {
  if (making === null || !making.includes("spoolwright/making@1")) return null;
  return JSON.parse(making) as HandMaking;
}

/** The texts a version is known to sew, by how it was made; none where it has stitches only. */
export function textsOfVersion({ making }: Pick<DesignVersionRow, "making">): string[] {
  if (making === null) return [];
  const byHand = handMakingOf(making);
  if (byHand) return byHand.items.flatMap((item) => (item.kind === "lettering" ? [item.text] : []));
  const { text, furtherTexts } = JSON.parse(making) as Partial<Making>;
  return text === undefined ? [] : [text, ...(furtherTexts ?? [])];
}
