import type { ThreadFace } from "./thread-chip";
import "./hem.css";

export interface HemPart {
  readonly thread: ThreadFace | null | undefined;
  /** Its length on the hem: stitches, or seconds. */
  readonly stitches: number;
}

/** The hem's colours side by side as a CSS background, hard at the seams; a part without a thread shows the ground. */
export function hemBackground(
  parts: readonly { readonly rgb: string | null; readonly length: number }[],
): string {
  const whole = parts.reduce((sum, part) => sum + part.length, 0);
  if (whole <= 0) return "none";
  let at = 0;
  const stops = parts.map((part) => {
    const from = at;
    at += (100 * part.length) / whole;
    return `${part.rgb ?? "var(--sw-hairline)"} ${from.toFixed(2)}% ${at.toFixed(2)}%`;
  });
  return `linear-gradient(to right, ${stops.join(", ")})`;
}

/** The hem in words, for those who do not see it. */
export function hemWords(parts: readonly HemPart[]): string {
  const colours = new Set(parts.map((part) => part.thread?.code ?? ""));
  const list = parts
    .map((part) => (part.thread ? `${part.thread.code} ${part.thread.name}` : "no thread chosen"))
    .join(", ");
  return parts.length === 0
    ? "no colours"
    : `${colours.size} ${colours.size === 1 ? "colour" : "colours"}, sewn in this order: ${list}`;
}

/**
 * Our sign for a piece or a design: its colours in the order they are sewn, each as long as it takes, with a
 * stitched line under it. As wide as its place allows, `heightPx` high without the line.
 */
export function Hem({
  parts,
  heightPx = 10,
  decorative = false,
}: {
  readonly parts: readonly HemPart[];
  readonly heightPx?: number;
  /** The words stand elsewhere. */ readonly decorative?: boolean;
}) {
  const background = hemBackground(
    parts.map((part) => ({ rgb: part.thread?.rgb ?? null, length: Math.max(1, part.stitches) })),
  );
  const said = decorative ? { "aria-hidden": true as const } : { role: "img", "aria-label": hemWords(parts) };
  return (
    <span className="hem" {...said} title={decorative ? undefined : hemWords(parts)}>
      <span className="hem-colours" style={{ height: heightPx, backgroundImage: background }} />
      <span className="hem-stitches" />
    </span>
  );
}
