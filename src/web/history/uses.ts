import type { shapes } from "#contract";

export type Use = shapes.FloorHistory["days"][number]["machines"][number]["spans"][number]["use"];

/** What minutes go on, in the order they are told; `fill` is a colour of the theme, `mark` a pattern beside it. */
export const uses: readonly {
  readonly use: Use;
  readonly words: string;
  readonly means: string;
  readonly fill: string;
}[] = [
  { use: "sewing", words: "Sewing", means: "the machine sewed", fill: "var(--sw-ink)" },
  {
    use: "threading",
    words: "Threading",
    means: "a person put threads on needles",
    fill: "var(--sw-accent)",
  },
  { use: "loading", words: "Loading", means: "the hoop put in and lined up", fill: "var(--sw-edge)" },
  {
    use: "mending",
    words: "Mending",
    means: "stopped: thread broken, bobbin, needle",
    fill: "var(--sw-late)",
  },
  { use: "care", words: "Care", means: "oiling, needles, cleaning", fill: "var(--sw-done)" },
  { use: "waiting-hands", words: "Waiting for hands", means: "a piece was to come, nobody was free", fill: "url(#waits)" }, // prettier-ignore
  {
    use: "waiting-work",
    words: "Nothing to sew",
    means: "no piece followed that day",
    fill: "var(--sw-hairline)",
  },
  { use: "down", words: "Down", means: "out of order or away", fill: "url(#down)" },
];

export type HandUse = shapes.FloorHistory["days"][number]["people"][number]["spans"][number]["use"];

/** What a person's hours go on, as far as it was told. */
export const handUses: readonly {
  readonly use: HandUse;
  readonly words: string;
  readonly means: string;
  readonly fill: string;
}[] = [
  { use: "hooping", words: "Hooping", means: "pieces put into their hoops", fill: "var(--sw-ink)" },
  { use: "threading", words: "Threading", means: "threads put on needles", fill: "var(--sw-accent)" },
  {
    use: "loading",
    words: "Loading",
    means: "put on a machine, lined up, taken off",
    fill: "var(--sw-edge)",
  },
  { use: "mending", words: "Mending", means: "a machine that had stopped", fill: "var(--sw-late)" },
  { use: "finishing", words: "Finishing", means: "unhooped, trimmed, pressed", fill: "var(--sw-done)" },
  { use: "packing", words: "Packing", means: "into its parcel", fill: "url(#packs)" },
  { use: "sewing", words: "Sewing", means: "batches at the sewing machine", fill: "var(--sw-ink-2)" },
  { use: "care", words: "Care", means: "oiling, needles, repairs", fill: "url(#cares)" },
  { use: "waiting-machine", words: "Waiting for a machine", means: "it still sewed", fill: "url(#waits)" },
  { use: "away", words: "Away", means: "told so", fill: "url(#down)" },
  { use: "not-told", words: "Not told", means: "nothing was told of it", fill: "var(--sw-hairline)" },
];

/** "3 h 05", "45 min". */
export function minutesWords(seconds: number): string {
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}`;
}

export const share = (part: number, whole: number): string =>
  whole <= 0 ? "–" : `${Math.round((100 * part) / whole)} %`;

/** "12 min later", "as planned", "4 min sooner", "2 days sooner". */
export function offWords(ms: number): string {
  const minutes = Math.round(ms / 60_000);
  if (minutes === 0) return "as planned";
  return `${offLength(Math.abs(minutes))} ${minutes > 0 ? "later" : "sooner"}`;
}

function offLength(minutes: number): string {
  if (minutes < 120) return `${minutes} min`;
  if (minutes < 36 * 60) return `${Math.round(minutes / 60)} h`;
  return `${Math.round(minutes / 1440)} days`;
}
