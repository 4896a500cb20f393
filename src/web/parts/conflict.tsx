import { Button } from "@mantine/core";
import { useState } from "react";
import { valueAt, withValueAt } from "./merge";
import type { Clash } from "./record-form";
import "./conflict.css";

export interface FieldWords {
  /** The field's label at a dotted path: "Needle 4: thread". */
  readonly label: (path: string) => string;
  /** A value as a person reads it; undefined takes the plain words. */
  readonly show?: (path: string, value: unknown) => string | undefined;
}

/** A value in plain words, where the form knows none better. */
export function plainWords(value: unknown): string {
  if (value === null || value === undefined || value === "") return "nothing";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "number") return Number.isNaN(value) ? "nothing" : String(value);
  if (Array.isArray(value))
    return value.length === 0
      ? "none"
      : value.every((one) => typeof one === "string")
        ? value.join(", ")
        : `${value.length} ${value.length === 1 ? "entry" : "entries"}`;
  if (typeof value === "object")
    return Object.entries(value)
      .map(([key, one]) => `${key} ${plainWords(one)}`)
      .join(", ");
  return String(value);
}

/**
 * Shown where somebody else changed the record meanwhile: both versions of each field that both changed, for a
 * person to choose; what only the other changed is told and taken. Nothing typed is lost until they decide.
 */
export function Conflict<B extends object>({
  clash,
  what,
  words,
  onSettle,
  onTakeTheirs,
}: {
  readonly clash: Clash<B>;
  readonly what: string;
  readonly words: FieldWords;
  readonly onSettle: (value: B) => void;
  readonly onTakeTheirs: () => void;
}) {
  const [theirs, setTheirs] = useState<ReadonlySet<string>>(new Set());
  const { clashes, taken, merged } = clash.merged;
  const show = (path: string, value: unknown) => words.show?.(path, value) ?? plainWords(value);
  const choose = (path: string, side: "mine" | "theirs") =>
    setTheirs((old) => {
      const next = new Set(old);
      if (side === "theirs") next.add(path);
      else next.delete(path);
      return next;
    });
  const settle = () =>
    onSettle(
      [...theirs].reduce((value, path) => withValueAt(value, path, valueAt(clash.theirs, path)), merged),
    );
  return (
    <section className="conflict" role="alert" aria-label="Changed by someone else">
      <h3>Changed by someone else</h3>
      <p>{what} was changed while you had it open. What you typed is still here.</p>
      {clashes.map((path) => (
        <fieldset key={path} className="conflict-field">
          <legend>{words.label(path)}</legend>
          {(["mine", "theirs"] as const).map((side) => (
            <label key={side} className="conflict-side">
              <input
                type="radio"
                name={`clash-${path}`}
                checked={theirs.has(path) === (side === "theirs")}
                onChange={() => choose(path, side)}
              />
              <span>
                <span className="quiet">{side === "mine" ? "You typed" : "Now kept"}</span>
                <b>{show(path, valueAt(side === "mine" ? merged : clash.theirs, path))}</b>
              </span>
            </label>
          ))}
        </fieldset>
      ))}
      {taken.length > 0 && (
        <div>
          <p>
            {clashes.length > 0
              ? "Also changed, and taken over into your form:"
              : "What they changed does not touch yours and goes into your form:"}
          </p>
          <ul>
            {taken.map((path) => (
              <li key={path}>
                {words.label(path)}: {show(path, valueAt(clash.base, path))} →{" "}
                <b>{show(path, valueAt(clash.theirs, path))}</b>
              </li>
            ))}
          </ul>
        </div>
      )}
      <div className="conflict-acts">
        <Button size="md" onClick={settle}>
          Go on with this
        </Button>
        <Button size="md" variant="default" onClick={onTakeTheirs}>
          Drop mine, show theirs
        </Button>
      </div>
    </section>
  );
}
