import type { Answer } from "#contract";
import { Button, NumberInput } from "@mantine/core";
import { useState } from "react";
import { useChange } from "../../asking";
import { addressOf } from "../../client";

type Rule = Answer<"careNow">["rules"][number];

const units: Readonly<Record<Rule["by"], string>> = {
  "run-hours": "hours of sewing",
  stitches: "stitches",
  pieces: "pieces",
  days: "days",
};

/** The rules care goes by: how often and how long, to be set after the machine's own manual. */
export function CareRules({ rules, areOwn }: { readonly rules: readonly Rule[]; readonly areOwn: boolean }) {
  const [draft, setDraft] = useState<readonly Rule[] | null>(null);
  const keep = useChange("keepCareRules", { lists: ["care", "plan"], done: "Care rules kept." });
  const shown = draft ?? rules;
  const set = (id: string, part: Partial<Pick<Rule, "every" | "minutes">>) =>
    setDraft(shown.map((rule) => (rule.id === id ? { ...rule, ...part } : rule)));
  const send = (next: readonly Rule[] | null) =>
    keep.mutate({ body: { rules: next === null ? null : [...next] } }, { onSuccess: () => setDraft(null) });
  const feed = new URL(addressOf("careCalendar"), location.href).href;
  return (
    <section className="sheet care-trips">
      <h2>How often</h2>
      <p className="quiet">
        {areOwn
          ? "Your own figures."
          : "What is common practice. The machine’s own manual knows better: set its figures here."}
      </p>
      <ul className="care-rules">
        {shown.map((rule) => (
          <li key={rule.id} className="care-often">
            <span>
              <b>{rule.name}</b>{" "}
              <span className="quiet">
                {"kinds" in rule.of ? rule.of.kinds.join(", ") : "some machines"}
                {rule.perNeedle ? ", each needle by itself" : ""}
              </span>
            </span>
            <NumberInput
              aria-label={`${rule.name}: every so many ${units[rule.by]}`}
              suffix={` ${units[rule.by]}`}
              min={0.5}
              value={rule.every}
              onChange={(every) => typeof every === "number" && every > 0 && set(rule.id, { every })}
            />
            <NumberInput
              aria-label={`${rule.name}: minutes it takes`}
              suffix=" min"
              min={1}
              max={480}
              value={rule.minutes}
              onChange={(minutes) => typeof minutes === "number" && minutes > 0 && set(rule.id, { minutes })}
            />
          </li>
        ))}
      </ul>
      <div className="care-acts" style={{ marginLeft: 0, marginTop: 12 }}>
        <Button size="md" disabled={draft === null} loading={keep.isPending} onClick={() => send(shown)}>
          Keep these
        </Button>
        {draft !== null && (
          <Button size="md" variant="default" onClick={() => setDraft(null)}>
            Leave as it was
          </Button>
        )}
        {areOwn && (
          <Button size="md" variant="default" onClick={() => send(null)}>
            Take the usual ones again
          </Button>
        )}
      </div>
      <p className="quiet">
        Services and dated care in your own calendar: subscribe to <span className="care-feed">{feed}</span>
      </p>
    </section>
  );
}
