import { type shapes } from "#contract";
import { durationWords } from "../parts/quantity";

/** A design's facts in words. */

export const number = new Intl.NumberFormat();

export const sourceWords: Readonly<Record<shapes.DesignVersion["source"], string>> = {
  "machine-file": "machine file",
  lettering: "lettering",
  recipe: "picture with lettering",
  made: "made here",
  mended: "mended",
};

export const levelWords: Readonly<Record<shapes.FindingShape["level"], string>> = {
  note: "Note",
  warning: "Take care",
  stop: "Must be mended",
};

export const metresWords = (mm: number) => `${(mm / 1000).toFixed(mm < 10_000 ? 1 : 0)} m`;

export const widthOf = (version: shapes.DesignVersion) => version.extentsMm.right - version.extentsMm.left;
export const heightOf = (version: shapes.DesignVersion) => version.extentsMm.top - version.extentsMm.bottom;

/** "3 to mend, 1 to look at", or nothing when there is nothing to say. */
export function findingsWords(findings: readonly shapes.FindingShape[]): string {
  const stops = findings.filter((one) => one.level === "stop").length;
  const warnings = findings.filter((one) => one.level === "warning").length;
  return [stops > 0 && `${stops} to mend`, warnings > 0 && `${warnings} to take care of`]
    .filter(Boolean)
    .join(", ");
}

/** Whole seconds a machine needs: stitches at its speed, and its usual times for colour stops and trims. */
export function sewingSeconds(
  version: shapes.DesignVersion,
  pace: { readonly stitchesPerMinute: number; readonly colourChangeS: number; readonly trimS: number },
): number {
  return Math.round(
    (version.stitches * 60) / pace.stitchesPerMinute +
      version.stops * pace.colourChangeS +
      version.trims * pace.trimS,
  );
}

/** "about 12 min". */
export function aboutWords(seconds: number): string {
  return seconds < 60 ? "under a minute" : `about ${durationWords(Math.round(seconds / 60) * 60)}`;
}
