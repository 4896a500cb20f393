import type { whatIf } from "#contract";
import { Button } from "@mantine/core";
import { amountOf, minorUnits } from "#core/base";
import { useRef, useState } from "react";
import { useChange } from "../asking";
import { NumberField, Row } from "../parts/form";
import { saveFile } from "../parts/save-file";

type Fields = Record<Name, number | null>;
type Name =
  | "freshPrice" | "freshResale" | "usedPrice" | "usedHours" | "usedResale" | "hoursAYear" | "years" | "rate"
  | "firstAfter" | "shape" | "count" | "repair" | "daysAway" | "lostDay"; // prettier-ignore

/** What nobody has said yet begins as common practice or a guess, to be typed over. */
const begin: Fields = {
  freshPrice: null, freshResale: null, usedPrice: null, usedHours: null, usedResale: 0, hoursAYear: 1500, years: 5,
  rate: 5, firstAfter: 3000, shape: 1.5, count: null, repair: null, daysAway: 10, lostDay: 0,
}; // prettier-ignore

const needed: readonly Name[] = ["freshPrice", "usedPrice", "usedHours", "repair"];
const isSaid = (value: number | null): value is number => value !== null && !Number.isNaN(value);

/** A used machine beside a new one. */
export function NewOrUsed({ shop }: { readonly shop: whatIf.WhatIfShop }) {
  const [fields, setFields] = useState(begin);
  const ask = useChange("newOrUsed", { lists: [] });
  const { currency } = shop;
  const missing = needed.some((name) => !isSaid(fields[name]));
  const field = (name: Name, label: string, own: Partial<Parameters<typeof NumberField>[0]> = {}) => (
    <NumberField
      label={label}
      usual="not said"
      value={fields[name]}
      onChange={(value) => setFields({ ...fields, [name]: value })}
      {...own}
    />
  );
  const money = { unit: currency, decimals: 2 };
  return (
    <section className="sheet what-if-sheet" aria-label="New or used?">
      <h2>New or used?</h2>
      <details className="what-if-how">
        <summary>A used machine beside a new one of its kind</summary>
        <div className="what-if-cards">
          <Record
            shop={shop}
            onKnown={({ fitted, seller }) =>
              setFields({
                ...fields,
                ...(seller ? { usedHours: Math.round(seller.meterHours) } : {}),
                ...(fitted
                  ? {
                      firstAfter: fitted.firstAfterHours,
                      shape: fitted.shape,
                      count: fitted.count,
                      repair: fitted.repairCents === null ? fields.repair : amountOf(fitted.repairCents, currency),
                    }
                  : {}),
              })
            }
          />
          <Row>
            {field("freshPrice", "New: price", money)}
            {field("freshResale", "New: worth when it leaves", money)}
          </Row>
          <Row>
            {field("usedPrice", "Used: price", money)}
            {field("usedHours", "Used: hours on its meter", { unit: "h" })}
            {field("usedResale", "Used: worth when it leaves", money)}
          </Row>
          <Row>
            {field("hoursAYear", "Hours it runs a year", { unit: "h" })}
            {field("years", "Years you keep it")}
            {field("rate", "What money costs a year", { unit: "%", decimals: 1 })}
          </Row>
          <Row>
            {field("firstAfter", "A new one first fails after", { unit: "h", hint: "on the mean; a guess until you know" })}
            {field("shape", "Wear", { decimals: 1, hint: "1: none; 1.5: some; 2 and more: strong" })}
            {field("count", "Known from so many failures", { hint: "empty: a guess" })}
          </Row>
          <Row>
            {field("repair", "A repair costs", money)}
            {field("daysAway", "Days it is away then")}
            {field("lostDay", "A day without it costs", { ...money, hint: "ask with the card “A machine away for days”" })}
          </Row>
          <div>
            <Button
              size="md"
              disabled={missing}
              loading={ask.isPending}
              onClick={() => ask.mutate({ body: bodyOf(fields, currency) })}
            >
              Compare
            </Button>
            {missing && <p className="quiet">Both prices, the hours on the meter and a repair’s cost are needed.</p>}
          </div>
        </div>
      </details>
      {ask.data && <Answer answer={ask.data.value} currency={currency} />}
    </section>
  );
} // prettier-ignore

/** What is known of failures: the repairs told here, and a seller's record made by this program. */
function Record({
  shop,
  onKnown,
}: {
  readonly shop: whatIf.WhatIfShop;
  readonly onKnown: (known: whatIf.RepairsKnown) => void;
}) {
  const ask = useChange("knownRepairs", { lists: [] });
  const [trouble, setTrouble] = useState("");
  const file = useRef<HTMLInputElement>(null);
  const known = (log: whatIf.RepairLog | null) =>
    ask.mutate({ body: { log } }, { onSuccess: ({ value }) => onKnown(value) });
  const readIn = async (chosen: File) => {
    setTrouble("");
    try {
      known(JSON.parse(await chosen.text()) as whatIf.RepairLog);
    } catch {
      setTrouble(
        "That file is no record of repairs made by Spoolwright: its seller saves one from this page.",
      );
    }
  };
  return (
    <div className="what-if-record">
      <div className="what-if-offer-row">
        <Button size="md" variant="default" loading={ask.isPending} onClick={() => known(null)}>
          Take the repairs on record here
        </Button>
        <Button size="md" variant="default" onClick={() => file.current?.click()}>
          Read in a used machine’s record
        </Button>
        <input
          ref={file}
          type="file"
          accept="application/json,.json"
          hidden
          aria-label="Record of a used machine"
          onChange={({ target }) => {
            const chosen = target.files?.[0];
            if (chosen) void readIn(chosen);
            target.value = "";
          }}
        />
      </div>
      <p className="quiet" aria-live="polite">
        {trouble || ask.data?.value.words}
      </p>
      <details className="what-if-how">
        <summary>You sell one? Save its record for the buyer</summary>
        <div className="what-if-offer-row">
          {shop.machines.map(({ id, name }) => (
            <Button
              key={id}
              size="md"
              variant="default"
              onClick={() => void saveFile("repairLogFile", { id })}
            >
              Repairs of {name}
            </Button>
          ))}
        </div>
      </details>
    </div>
  );
}

function bodyOf(fields: Fields, currency: string): whatIf.UsedQuestion {
  const or = (name: Name, other: number) => (isSaid(fields[name]) ? fields[name] : other);
  const cents = (name: Name) => minorUnits(or(name, 0), currency);
  return {
    fresh: { priceCents: cents("freshPrice"), resaleCents: cents("freshResale") },
    used: { priceCents: cents("usedPrice"), hours: or("usedHours", 0), resaleCents: cents("usedResale") },
    hoursAYear: or("hoursAYear", 1500),
    years: Math.round(or("years", 5)),
    rate: or("rate", 0) / 100,
    failures: {
      firstAfterHours: or("firstAfter", 3000),
      shape: or("shape", 1.5),
      count: isSaid(fields.count) && fields.count > 0 ? Math.round(fields.count) : null,
      repairCents: cents("repair"),
      daysAway: or("daysAway", 0),
    },
    lostDayCents: cents("lostDay"),
  };
}

function Answer({ answer, currency }: { readonly answer: whatIf.UsedAnswer; readonly currency: string }) {
  const amount = (cents: number) => Math.round(amountOf(Math.round(cents), currency));
  const range = ({ low, likely, high }: whatIf.UsedAnswer["usedAYear"]) =>
    `${currency} ${amount(likely)} a year (${amount(low)} to ${amount(high)})`;
  return (
    <div className="what-if-underway" aria-live="polite">
      <p className="what-if-sentence">
        <strong>{answer.sentence}</strong>
      </p>
      <p>
        New costs {range(answer.freshAYear)}, with about {answer.failures.fresh.toFixed(1)} failures while it
        is here; used {range(answer.usedAYear)}, with about {answer.failures.used.toFixed(1)}.
      </p>
      <p className="quiet">{answer.doubt}</p>
      <h3>To ask before you pay</h3>
      <ul>
        {answer.questions.map((question) => (
          <li key={question}>{question}</li>
        ))}
      </ul>
    </div>
  );
}
