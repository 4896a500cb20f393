import { relativeLuminance, rgbFromHex } from "#core/thread";
import "./thread-chip.css";

/** What a person needs to know a thread by: the shop's code, its name, its colour. */
export interface ThreadFace {
  readonly code: string;
  readonly name: string;
  /** sRGB, `#rrggbb`. */
  readonly rgb: string;
}

/** Whether the twist of a thread must be drawn in shade rather than in shine. */
export function isLightThread(rgb: string): boolean {
  const colour = rgbFromHex(rgb);
  return colour !== null && relativeLuminance(colour) > 0.4;
}

/** A length of twisted thread, without words: only where code and name stand beside it or in the label of what holds it. */
export function ThreadTwist({ rgb, className = "" }: { readonly rgb: string; readonly className?: string }) {
  return (
    <span
      aria-hidden
      className={`thread-twist ${isLightThread(rgb) ? "thread-twist-light" : ""} ${className}`}
      style={{ "--thread": rgb } as React.CSSProperties}
    />
  );
}

/** A thread in a line of text or a table cell: a bit of it, its code, and its name. `null` says that none is chosen. */
export function ThreadChip({
  thread,
  short = false,
}: {
  readonly thread: ThreadFace | null | undefined;
  /** Code alone, the name for screen readers and on hover. */ readonly short?: boolean;
}) {
  if (!thread) return <span className="thread-chip quiet">no thread</span>;
  return (
    <span className="thread-chip" title={short ? `${thread.code} ${thread.name}` : undefined}>
      <ThreadTwist rgb={thread.rgb} />
      <b>{thread.code}</b>
      <span className={short ? "visually-hidden" : "thread-chip-name"}>{thread.name}</span>
    </span>
  );
}
