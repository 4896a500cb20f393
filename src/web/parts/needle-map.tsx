import { Spool } from "./spool";
import type { ThreadFace } from "./thread-chip";
import "./needle-map.css";

export interface NeedlePlace {
  /** From 1, in the machine's physical order. */
  readonly number: number;
  /** The thread that shall be on it. */
  readonly thread: ThreadFace | null;
  /** Whether it must be threaded for this run. */
  readonly change?: boolean;
  /** What comes off when it is threaded; null where it was empty. */
  readonly was?: ThreadFace | null;
  /** Threaded only at a stop inside the design: which stop, from 1. */
  readonly atStop?: number;
  /** Keeps its thread always. */
  readonly fixed?: boolean;
  /** Whether the run sews with it. */
  readonly used?: boolean;
  /** Size and point, or whatever else stands with the needle. */
  readonly note?: string;
}

/** The needles of a machine in their order, each with its spool; those to be threaded are framed and say what comes off. */
export function NeedleMap({
  needles,
  size = "medium",
  label = "Needles",
}: {
  readonly needles: readonly NeedlePlace[];
  readonly size?: "small" | "medium" | "large";
  readonly label?: string;
}) {
  return (
    <ol className="needle-map" aria-label={label}>
      {needles.map((needle, index) => (
        <li
          key={index}
          className={[
            "needle",
            needle.change ? "needle-change" : "",
            needle.used === false ? "needle-unused" : "",
          ].join(" ")}
        >
          <span className="needle-number">
            <span className="visually-hidden">needle </span>
            {needle.number}
            {needle.fixed && <span className="needle-fixed"> fixed</span>}
          </span>
          <Spool thread={needle.thread} size={size} />
          {needle.change && (
            <span className="needle-was">
              {needle.atStop !== undefined && <b>at stop {needle.atStop} </b>}
              {needle.was ? `take off ${needle.was.code} ${needle.was.name}` : "was empty"}
            </span>
          )}
          {needle.note && <span className="needle-note">{needle.note}</span>}
        </li>
      ))}
    </ol>
  );
}
