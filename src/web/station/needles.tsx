import type { NeedleChange } from "#core/floor";
import { SpoolDrawing } from "../parts/spool";
import type { ThreadFace } from "../parts/thread-chip";
import "./needles.css";

export interface BarNeedle {
  readonly number: number;
  readonly thread: ThreadFace | null;
  /** Set where it is to be threaded: what comes off and what goes on. */
  readonly change: NeedleChange | null;
  readonly to: ThreadFace | null;
  /** Whether the piece sews with it. */
  readonly used: boolean;
}

/**
 * A machine's needles as they stand side by side, each with its spool, code and name; one to be threaded shows what
 * comes off and what goes on, and can be told alone.
 */
export function NeedleBar({
  needles,
  large,
  label,
  onThreaded,
}: {
  readonly needles: readonly BarNeedle[];
  readonly large: boolean;
  readonly label: string;
  readonly onThreaded?: (change: NeedleChange) => void;
}) {
  return (
    <ol
      className={`bar ${large ? "bar-large" : "bar-small"}`}
      aria-label={label}
      style={{ "--needles": needles.length } as React.CSSProperties}
    >
      {needles.map((needle) => (
        <li
          key={needle.number}
          className={`bar-needle${needle.change ? " bar-change" : needle.used ? "" : " bar-unused"}`}
        >
          {needle.change && onThreaded ? (
            <button
              type="button"
              className="bar-face bar-press"
              aria-label={changeWords(needle)}
              onClick={() => onThreaded(needle.change!)}
            >
              <Face needle={needle} large={large} />
            </button>
          ) : (
            <span className="bar-face">
              <Face needle={needle} large={large} />
            </span>
          )}
        </li>
      ))}
    </ol>
  );
}

const nameOf = (thread: ThreadFace | null): string => (thread ? `${thread.code} ${thread.name}` : "empty");

const changeWords = ({ number, thread, to, change }: BarNeedle): string =>
  change ? `Needle ${number} threaded: ${nameOf(thread)} off, ${nameOf(to)} on` : `Needle ${number}`;

function Face({ needle, large }: { readonly needle: BarNeedle; readonly large: boolean }) {
  const { change, thread, to, number } = needle;
  const shown = change ? to : thread;
  return (
    <>
      <b className="bar-number">
        <span className="visually-hidden">needle </span>
        {number}
      </b>
      <span className="bar-spools">
        {change && large && (
          <>
            <SpoolDrawing rgb={thread?.rgb ?? null} size="small" />
            <span className="bar-arrow" aria-hidden>
              →
            </span>
          </>
        )}
        <SpoolDrawing rgb={shown?.rgb ?? null} size={large ? "large" : "small"} />
      </span>
      {shown ? (
        <>
          <b className="bar-code">{shown.code}</b>
          <span className="bar-name">{shown.name}</span>
        </>
      ) : (
        <span className="bar-name">empty</span>
      )}
      {change && (
        <span className="bar-off">{thread ? `off: ${thread.code} ${thread.name}` : "was empty"}</span>
      )}
    </>
  );
}
