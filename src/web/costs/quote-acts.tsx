import { Button } from "@mantine/core";
import { useState } from "react";
import type { Answer, costs } from "#contract";
import { useChange } from "../asking";
import { send } from "../client";
import { useListAddress } from "../parts/list-address";
import { showTrouble } from "../parts/notices";
import { saveFile } from "../parts/save-file";
import { PutAwayButton } from "./put-away-button";

type KeptQuote = Answer<"readQuote">;

/** What can be done with a draft: keep it, print it, say that it was sent. */
export function DraftActs({
  draft,
  kept,
  isChanged,
  isAskable,
  isPriced,
}: {
  readonly draft: costs.QuoteAsked;
  readonly kept: KeptQuote | null;
  readonly isChanged: boolean;
  readonly isAskable: boolean;
  readonly isPriced: boolean;
}) {
  const address = useListAddress();
  const opened = { new: undefined, order: undefined, product: undefined, like: undefined };
  const keep = useChange("keepQuote", { lists: ["costs"] });
  const change = useChange("changeQuote", { lists: ["costs"], done: (one) => `Quote ${one.number} kept.` });
  const sent = useChange("sendQuote", {
    lists: ["costs"],
    done: (one) => `Quote ${one.number} was sent: its prices stay.`,
  });
  return (
    <>
      {isChanged ? (
        <Button
          size="md"
          disabled={!isAskable}
          loading={keep.isPending || change.isPending}
          onClick={() =>
            kept === null
              ? keep.mutate(
                  { body: draft },
                  { onSuccess: ({ value }) => address.set({ ...opened, quote: value.id }) },
                )
              : change.mutate({ params: { id: kept.id }, body: draft, version: kept.version })
          }
        >
          {kept === null ? "Keep it" : "Keep the changes"}
        </Button>
      ) : (
        <Button
          size="md"
          disabled={!isPriced}
          loading={sent.isPending}
          onClick={() => sent.mutate({ params: { id: kept!.id }, version: kept!.version })}
        >
          It was sent
        </Button>
      )}
      <PdfButton
        disabled={!isAskable}
        print={() =>
          kept !== null && !isChanged ? saveFile("keptQuoteSheet", { id: kept.id }) : savePdf(draft)
        }
      />
      {kept !== null && <PutAway kept={kept} />}
    </>
  );
}

export function PdfButton({
  print,
  disabled = false,
}: {
  readonly print: () => Promise<void>;
  readonly disabled?: boolean;
}) {
  const [isPrinting, setPrinting] = useState(false);
  const go = async () => {
    setPrinting(true);
    try {
      await print();
    } catch (reason) {
      showTrouble(reason);
    } finally {
      setPrinting(false);
    }
  };
  return (
    <Button size="md" variant="default" loading={isPrinting} disabled={disabled} onClick={() => void go()}>
      Quote as PDF
    </Button>
  );
}

export function PutAway({ kept }: { readonly kept: KeptQuote }) {
  const address = useListAddress();
  const away = useChange("putQuoteAway", {
    lists: ["costs"],
    done: (one) => `Quote ${one.number} put away.`,
  });
  return (
    <PutAwayButton
      isBusy={away.isPending}
      onPress={() =>
        away.mutate(
          { params: { id: kept.id }, version: kept.version },
          { onSuccess: () => address.set({ quote: undefined }) },
        )
      }
    />
  );
}

async function savePdf(draft: costs.QuoteAsked): Promise<void> {
  const response = await send("quoteSheet", { body: draft });
  const said = /filename="([^"]+)"/.exec(response.headers.get("content-disposition") ?? "");
  const address = URL.createObjectURL(await response.blob());
  const link = document.createElement("a");
  link.href = address;
  link.download = said?.[1] ?? "quote.pdf";
  link.click();
  window.setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
