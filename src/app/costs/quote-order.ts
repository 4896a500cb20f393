import type { costs } from "#contract";
import type { Writing } from "#store";
import type { Context } from "../context";
import { checkDraft, draftOf, type OrderDraft } from "../order-drafts";
import { addOrder } from "../order-writing";
import { Workshop } from "../piece-jobs";
import type { CostGround } from "./ground";
import type { QuoteGoing } from "./quote-sheet";

/** An order of a quote: its lines at the prices it was sent with, what was said of each as its note. */
export function draftFromQuote(
  { settings }: CostGround,
  asked: costs.QuoteAsked,
  sent: QuoteGoing,
  about: {
    readonly reference: string;
    readonly promiseDate: string;
    readonly placedOn: string;
    readonly number: number;
  },
): OrderDraft {
  const hurry = asked.isRush ? " Quoted as pulled forward." : "";
  return draftOf({
    reference: about.reference,
    customer: asked.customer,
    channel: settings.channels.find((one) => one.id === asked.channelId)?.name ?? "",
    placedOn: about.placedOn,
    promiseDate: about.promiseDate,
    shipBy: null,
    note: `Of quote ${about.number}.${hurry}`,
    lines: sent.worked.lines.map((line) => ({
      id: null,
      productId: line.productId,
      quantity: line.quantity,
      personalText: "",
      designId: null,
      threadIds: null,
      textThreadId: null,
      priceCents: line.eachCents,
      note: line.what,
    })),
  });
}

/** Makes all that is slow ready; the function it gives adds the order inside a write and gives its id. */
export async function orderFromQuote(
  context: Context,
  draft: OrderDraft,
): Promise<(writing: Writing) => Promise<string>> {
  const { db } = context.store;
  const workshop = await Workshop.open(context, db);
  await checkDraft(db, workshop, draft);
  await workshop.prepare(db, draft.lines);
  return async (writing) => (await addOrder(context, writing, workshop, draft)).order.id;
}
