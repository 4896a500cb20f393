import type { shapes } from "#contract";
import { Button, NumberInput } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { useAnswer, useChange } from "../asking";
import { Empty, TroubleSheet, Waiting } from "../parts/states";

type Learned = shapes.Learned;

const headings: Readonly<Record<Learned["quantity"], string>> = {
  "sewing-speed": "Sewing speed really reached",
  threading: "Threading a needle",
  loading: "Loading and lining up",
  hooping: "Hooping",
  finishing: "Un-hooping and finishing",
};

const amount = (value: number, unit: Learned["unit"]): string =>
  unit === "s" ? `${Math.round(value)} s` : `${Math.round(value)} st/min`;

/** What the floor taught: each time with how often it was measured, its range, and a value of one's own instead. */
export function LearnedTimes() {
  const learned = useAnswer("floor", "learnedTimes", {});
  if (learned.isError) return <TroubleSheet trouble={learned.error} onAgain={() => void learned.refetch()} />;
  if (!learned.data) return <Waiting words="Looking through what was measured" />;
  const { times, breaks } = learned.data;
  if (times.length === 0)
    return (
      <Empty
        title="Nothing to learn from yet"
        action={
          <Button component={Link} to="/machines" size="md">
            Add a machine
          </Button>
        }
      >
        Once machines and hoops stand in the studio and stations tell what happens, the real times stand here
        and the plan takes them.
      </Empty>
    );
  return (
    <div className="learned">
      <p className="quiet">
        Measured from what stations tell, lunches and interruptions set aside; learned anew each night, and
        used by the plan from the next morning. A time set on a machine’s or hoop’s own record stands as it
        is.
      </p>
      {Object.entries(headings).map(([quantity, heading]) => {
        const own = times.filter((time) => time.quantity === quantity);
        return own.length === 0 ? null : (
          <section key={quantity} className="sheet learned-sheet" aria-label={heading}>
            <h2>{heading}</h2>
            <ul>
              {own.map((time) => (
                <LearnedLine key={time.subjectId} time={time} />
              ))}
            </ul>
          </section>
        );
      })}
      <section className="sheet learned-sheet" aria-label="Thread breaks">
        <h2>Thread breaks</h2>
        <ul>
          {breaks.map((one) => (
            <li key={one.machineId} className="learned-line">
              <b>{one.machine}</b>
              <span className="learned-words">{one.sentence}</span>
            </li>
          ))}
        </ul>
      </section>
    </div>
  );
}

function LearnedLine({ time }: { readonly time: Learned }) {
  const [isFixing, setFixing] = useState(false);
  const [value, setValue] = useState<number | string>(Math.round(time.estimate));
  const fix = useChange("fixLearned", { lists: ["floor", "plan"], done: `${headings[time.quantity]}, ${time.subject}: kept.` }); // prettier-ignore
  const send = (to: number | null) =>
    fix.mutate(
      { body: { quantity: time.quantity, subjectId: time.subjectId, value: to } },
      { onSuccess: () => setFixing(false) },
    );
  return (
    <li className="learned-line">
      <b>{time.subject}</b>
      <span className="learned-value">
        {amount(time.estimate, time.unit)}
        <span className="quiet">
          {time.source === "fixed"
            ? time.fixedOnRecord
              ? " set on its record"
              : " fixed by hand"
            : time.source === "default"
              ? " as usual, not measured yet"
              : ` · ${time.observations} measured`}
        </span>
      </span>
      <Range time={time} />
      {time.fixedOnRecord ? null : time.source === "fixed" ? (
        <Button size="md" variant="default" loading={fix.isPending} onClick={() => send(null)}>
          Let it be learned
        </Button>
      ) : (
        <Button size="md" variant="default" onClick={() => setFixing(!isFixing)} aria-expanded={isFixing}>
          Fix it
        </Button>
      )}
      <span className="learned-words quiet">{time.sentence}</span>
      {isFixing && (
        <div className="learned-fix">
          <NumberInput
            label={`${headings[time.quantity]}, ${time.subject}`}
            suffix={time.unit === "s" ? " s" : " st/min"}
            min={1}
            max={100_000}
            value={value}
            onChange={setValue}
          />
          <Button
            size="md"
            disabled={typeof value !== "number" || value <= 0}
            loading={fix.isPending}
            onClick={() => typeof value === "number" && send(value)}
          >
            Always plan with this
          </Button>
        </div>
      )}
    </li>
  );
}

/** The range as a line: where the value lies, and the usual one as a tick. */
function Range({ time }: { readonly time: Learned }) {
  const from = Math.min(time.low, time.usual, time.estimate) * 0.95;
  const to = Math.max(time.high, time.usual, time.estimate) * 1.05;
  const at = (value: number) => `${((value - from) / Math.max(1e-9, to - from)) * 100}%`;
  return (
    <span
      className="learned-range"
      role="img"
      aria-label={`Between ${amount(time.low, time.unit)} and ${amount(time.high, time.unit)}; usual ${amount(time.usual, time.unit)}`}
    >
      {time.source !== "default" && (
        <span
          className="learned-span"
          style={{ left: at(time.low), right: `calc(100% - ${at(time.high)})` }}
        />
      )}
      <span className="learned-usual" style={{ left: at(time.usual) }} />
      <span className="learned-at" style={{ left: at(time.estimate) }} />
    </span>
  );
}
