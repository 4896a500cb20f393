import type { whatIf } from "#contract";
import { Button } from "@mantine/core";
import { amountOf, minorUnits } from "#core/base";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { useChange } from "../asking";
import { ChoiceField, NumberField, PlainChoice, Row } from "../parts/form";
import { type Card, CardForm } from "./cards";
import { offers } from "./offers";

type Shop = whatIf.WhatIfShop;
type Kind = "changes" | "how-many" | "what-next";
type Orders = whatIf.WhatIfQuestion["orders"];

interface Played {
  readonly seasons: number;
  readonly days: number;
  readonly orders: Orders;
}

/** Minor units; null while nobody has said. */
interface Worth {
  readonly hand: number | null;
  readonly late: number | null;
  readonly piece: number | null;
}

/** The question: a change, a how many, or what to buy next. */
export function Ask({ shop, onAsked }: { readonly shop: Shop; readonly onAsked: (id: string) => void }) {
  const [kind, setKind] = useState<Kind>("changes");
  const [cards, setCards] = useState<readonly Card[]>([]);
  const [worth, setWorth] = useState<Worth>({
    hand: shop.wageCentsPerHour === null ? null : Math.round(shop.wageCentsPerHour),
    late: null,
    piece: null,
  });
  const [budgetCents, setBudget] = useState<number | null>(null);
  const [of, setOf] = useState(`hoop ${shop.hoops[0]?.id ?? ""}`);
  const [played, setPlayed] = useState<Played>({ seasons: 12, days: 56, orders: "like-those-that-came" });
  const ask = useChange("askWhatIf", { lists: ["what-if"] });
  const question = (): whatIf.WhatIfQuestion => {
    const money = { handHourCents: worth.hand, latePieceCents: worth.late, pieceCents: worth.piece };
    if (kind === "changes") return { kind, cards: [...cards], worth: money, ...played };
    if (kind === "what-next") return { kind, cards: [...cards], worth: money, budgetCents, ...played };
    const [what, ...id] = of.split(" ");
    return what === "hoop"
      ? { kind: "how-many-hoops", hoopId: id.join(" "), most: hoopsTried(shop, id.join(" ")), ...played }
      : { kind: "how-many-machines", likeId: id.join(" "), most: shop.machines.length + 3, ...played };
  };
  const isReady = kind === "how-many" || cards.length > 0;
  return (
    <section className="sheet what-if-sheet" aria-label="Ask">
      <PlainChoice
        label="What do you want to know?"
        value={kind}
        onChange={setKind}
        choices={[
          { value: "changes", words: "What if …", meaning: "one change or several, against today’s shop" },
          { value: "how-many", words: "How many?", meaning: "hoops of a kind, or machines for your people" },
          { value: "what-next", words: "What next?", meaning: "what to buy first, as money allows" },
        ]}
      />
      {kind === "how-many" ? (
        <ChoiceField
          label="How many of"
          value={of}
          onChange={setOf}
          choices={[
            ...shop.hoops.map(({ id, name, count }) => ({ value: `hoop ${id}`, words: `Hoop ${name} (${count} here)` })),
            ...shop.machines.map(({ id, name }) => ({ value: `machine ${id}`, words: `Machines, further ones like ${name}` })),
          ]}
        />
      ) : (
        <>
          <CardList kind={kind} cards={cards} shop={shop} onChange={setCards} />
          <WorthFields shop={shop} worth={worth} onChange={setWorth} />
          {kind === "what-next" && (
            <NumberField
              label="Money there is"
              unit={shop.currency}
              decimals={2}
              usual="no limit"
              value={budgetCents === null ? null : amountOf(budgetCents, shop.currency)}
              onChange={(amount) => setBudget(centsOf(amount, shop.currency))}
            />
          )}
        </>
      )}
      <HowPlayed played={played} onChange={setPlayed} />
      <div>
        <Button
          size="lg"
          disabled={!isReady}
          loading={ask.isPending}
          onClick={() => ask.mutate({ body: question() }, { onSuccess: ({ value }) => onAsked(value.run.id) })}
        >
          Play it through
        </Button>
        {!isReady && <p className="quiet">Add a card first: what would be otherwise?</p>}
      </div>
    </section>
  );
} // prettier-ignore

const hoopsTried = (shop: Shop, id: string): number =>
  Math.min(40, Math.max(4, (shop.hoops.find((hoop) => hoop.id === id)?.count ?? 1) + 4));

const centsOf = (amount: number | null, currency: string): number | null =>
  amount === null || Number.isNaN(amount) ? null : minorUnits(amount, currency);

interface CardsProps {
  readonly kind: Kind;
  readonly cards: readonly Card[];
  readonly shop: Shop;
  readonly onChange: (cards: readonly Card[]) => void;
}

function CardList({ kind, cards, shop, onChange }: CardsProps) {
  const most = kind === "changes" ? 12 : 8;
  return (
    <div className="what-if-cards">
      {cards.length > 0 && (
        <ul>
          {cards.map((card, at) => (
            <CardForm
              key={at}
              card={card}
              shop={shop}
              onChange={(changed) => onChange(cards.map((one, other) => (other === at ? changed : one)))}
              onRemove={() => onChange(cards.filter((_, other) => other !== at))}
            />
          ))}
        </ul>
      )}
      <fieldset className="what-if-offers">
        <legend>{kind === "changes" ? "Add what would be otherwise" : "Add what could be bought"}</legend>
        {offers.map(({ words, make }) => {
          const change = make(shop);
          return change === null ? null : (
            <Button
              key={words}
              size="md"
              variant="default"
              disabled={cards.length >= most}
              onClick={() => onChange([...cards, { change, priceCents: null, monthlyCents: null }])}
            >
              + {words}
            </Button>
          );
        })}
      </fieldset>
    </div>
  );
}

interface WorthProps {
  readonly shop: Shop;
  readonly worth: Worth;
  readonly onChange: (worth: Worth) => void;
}

/** Where Costs are whole they say what hours and pieces are worth; else people do, or answers are in hours. */
function WorthFields({ shop, worth, onChange }: WorthProps) {
  const { currency, costsMissing } = shop;
  const field = (name: keyof Worth, label: string, hint: string) => (
    <NumberField
      label={label}
      unit={currency}
      decimals={2}
      usual="not said"
      value={worth[name] === null ? null : amountOf(worth[name], currency)}
      hint={hint}
      onChange={(value) => onChange({ ...worth, [name]: centsOf(value, currency) })}
    />
  );
  const late = field("late", "A late piece costs", "its discount, its postage");
  if (costsMissing.length === 0) return <Row>{late}</Row>;
  return (
    <>
      <p className="quiet">
        Cost of a piece and profit a year are told once Costs are whole. Still missing there:{" "}
        {costsMissing.slice(0, 3).join("; ")}
        {costsMissing.length > 3 ? ` and ${costsMissing.length - 3} more` : ""}.{" "}
        <Link to="/costs">Open Costs</Link>
      </p>
      <Row>
        {field("hand", "An hour of work is worth", shop.wageCentsPerHour === null ? "saved or spent" : "the wage on Costs")}
        {late}
        {field("piece", "A piece leaves", "of its price, before work")}
      </Row>
    </>
  );
} // prettier-ignore

function HowPlayed({
  played,
  onChange,
}: {
  readonly played: Played;
  readonly onChange: (played: Played) => void;
}) {
  return (
    <details className="what-if-how">
      <summary>How it is played</summary>
      <Row>
        <ChoiceField
          label="Orders"
          value={played.orders}
          onChange={(orders) => onChange({ ...played, orders })}
          choices={[
            { value: "like-those-that-came", words: "like those that came" },
            { value: "those-that-came", words: "those that came, once again" },
          ]}
        />
        <ChoiceField
          label="Days of a season"
          value={String(played.days)}
          onChange={(days) => onChange({ ...played, days: Number(days) })}
          choices={[14, 28, 56, 91, 182].map((days) => ({ value: String(days), words: `${days} days` }))}
        />
        <ChoiceField
          label="Seasons"
          hint="more seasons, less doubt"
          value={String(played.seasons)}
          onChange={(seasons) => onChange({ ...played, seasons: Number(seasons) })}
          choices={[6, 12, 24, 48].map((count) => ({ value: String(count), words: String(count) }))}
        />
      </Row>
    </details>
  );
}
