import type { shapes } from "#contract";
import type { RefusalDetail } from "#core/base";
import type { OrderLineTable, Store } from "#store";
import { tidyLines, tidyText } from "./fold";
import { refuseOrders } from "./order-refusals";
import type { LineFacts, Workshop } from "./piece-jobs";

/** A line as asked for; `lineReference` is the channel's own number of it, where it comes from a file. */
export interface LineDraft extends LineFacts {
  readonly id: string | null;
  readonly quantity: number;
  readonly priceCents: number | null;
  readonly note: string;
  readonly lineReference: string | null;
}

export type OrderDraft = Omit<shapes.OrderBody, "lines"> & { readonly lines: readonly LineDraft[] };

const MOST_PIECES = 10_000;

/** A body as drafts: names tidied, so that the same text is the same text. */
export function draftOf(body: shapes.OrderBody): OrderDraft {
  return {
    ...body,
    reference: tidyText(body.reference),
    customer: tidyText(body.customer),
    channel: tidyText(body.channel),
    lines: body.lines.map((line) => ({
      ...line,
      personalText: tidyLines(line.personalText),
      lineReference: null,
    })),
  };
}

/** Refuses an order whose dates run backwards or whose lines name what is not there; all that is wrong at once. */
export async function checkDraft(
  db: Store["db"],
  workshop: Workshop,
  draft: OrderDraft,
  before: readonly OrderLineTable[] = [],
): Promise<void> {
  if (draft.reference === "")
    throw refuseOrders("order-dates", "The order has no reference.", [
      { field: "reference", expected: "a reference" },
    ]);
  if (draft.promiseDate < draft.placedOn)
    throw refuseOrders(
      "order-dates",
      `The order is placed on ${draft.placedOn} and promised for ${draft.promiseDate}, before that.`,
      [{ field: "promiseDate", found: draft.promiseDate, expected: `${draft.placedOn} or later` }],
    );
  if (draft.shipBy !== null && draft.shipBy > draft.promiseDate)
    throw refuseOrders(
      "order-dates",
      `The ship-by date ${draft.shipBy} is after the promise date ${draft.promiseDate}.`,
      [{ field: "shipBy", found: draft.shipBy, expected: `${draft.promiseDate} or earlier` }],
    );
  const pieces = draft.lines.reduce((sum, line) => sum + line.quantity, 0);
  if (pieces > MOST_PIECES)
    throw refuseOrders(
      "too-many-pieces",
      `The order has ${pieces} pieces; at most ${MOST_PIECES} go into one.`,
      [{ field: "lines", found: `${pieces} pieces`, expected: `at most ${MOST_PIECES}` }],
    );
  const designIds = [...new Set(draft.lines.flatMap((line) => line.designId ?? []))];
  const designs = new Set(
    designIds.length === 0
      ? []
      : (
          await db.selectFrom("designs").select("id").where("id", "in", designIds.slice(0, 500)).execute()
        ).map((row) => row.id),
  );
  const usedBefore = new Set(before.map((line) => line.product_id));
  const wrong: RefusalDetail[] = draft.lines.flatMap((line, index) => {
    const product = workshop.product(line.productId);
    const field = (name: string) => `lines.${index}.${name}`;
    return [
      ...(!product
        ? [{ field: field("productId"), found: line.productId, expected: "a product of the list" }]
        : []),
      ...(product?.archived && !usedBefore.has(product.id)
        ? [
            {
              field: field("productId"),
              found: `${product.name}, which is archived`,
              expected: "a product that is sold",
            },
          ]
        : []),
      ...(line.designId !== null && !designs.has(line.designId)
        ? [{ field: field("designId"), found: line.designId, expected: "a design of the list" }]
        : []),
      ...[line.textThreadId, ...(line.threadIds ?? [])].flatMap((id) =>
        id !== null && !workshop.threads.has(id)
          ? [{ field: field("threadIds"), found: id, expected: "a thread of the list" }]
          : [],
      ),
    ];
  });
  if (wrong.length > 0)
    throw refuseOrders(
      "line-names-unknown",
      `Line ${Number(/\d+/.exec(wrong[0]!.field!)![0]) + 1} names ${wrong[0]!.found}; expected ${wrong[0]!.expected}.`,
      wrong,
    );
}
