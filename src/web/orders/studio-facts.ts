import { useMemo } from "react";
import type { shapes } from "#contract";
import { localTime } from "#core/shop";
import { useAnswer } from "../asking";
import { useThreads } from "../designs/threads";
import { useAll } from "../parts/all-of";
import type { HemPart } from "../parts/hem";
import { useHabits } from "../parts/quantity";
import { useNowMs } from "../today/clock";

/** Today's date where the studio stands. */
export function useToday(): string {
  const { timeZone } = useHabits();
  return localTime(timeZone, useNowMs()).date;
}

/** Products by id, archived ones too. */
export function useProducts() {
  const items = useAll("products").data;
  return useMemo(
    () => ({ list: items ?? [], byId: new Map((items ?? []).map((product) => [product.id, product])) }),
    [items],
  );
}

/** The pictures by id, as far as one answer carries. */
export function usePictures() {
  const items = useAnswer(
    "designs",
    "listDesigns",
    { query: { kind: "picture", archived: "all", limit: 500 } },
    { keep: true },
  ).data?.items;
  return useMemo(() => new Map((items ?? []).map((design) => [design.id, design])), [items]);
}

/** The picture a line sews: its own, else its product's. */
export function designOfLine(
  line: Pick<shapes.OrderLine, "designId">,
  product: shapes.ProductRecord | undefined,
): string | null {
  return line.designId ?? product?.placements.find((one) => one.designId !== null)?.designId ?? null;
}

/** Letters sew some ninety stitches each; enough to give the name its place on the hem. */
const STITCHES_A_LETTER = 90;

/** What a line's pieces sew, as a hem. */
export function useLineHem() {
  const threads = useThreads();
  const pictures = usePictures();
  const products = useProducts();
  return (line: shapes.OrderLine): readonly HemPart[] => {
    const product = products.byId.get(line.productId);
    const design = pictures.get(designOfLine(line, product) ?? "");
    const parts: HemPart[] = (design?.latest.parts ?? []).map((part, index) => ({
      thread: threads.get(line.threadIds?.[index] ?? part.threadId ?? "") ?? null,
      stitches: part.stitches,
    }));
    const lettering = product?.placements.find((one) => one.lettering !== null)?.lettering;
    if (lettering && line.personalText.trim() !== "")
      parts.push({
        thread: threads.get(line.textThreadId ?? lettering.threadId ?? "") ?? null,
        stitches: line.personalText.length * STITCHES_A_LETTER,
      });
    return parts;
  };
}
