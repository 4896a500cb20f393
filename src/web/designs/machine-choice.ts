import { useMemo } from "react";
import type { shapes } from "#contract";
import { useAnswer } from "../asking";

export interface MachinePace {
  readonly machine: string | null;
  readonly stitchesPerMinute: number;
  readonly colourChangeS: number;
  readonly trimS: number;
}

/** The shop's embroidery machines, the one chosen, and how fast it sews; usual times (TRADE.md) where there is none. */
export function useMachineChoice(wanted: string) {
  const machines = useAnswer("machines", "machines.list", { query: { limit: 500 } });
  const studio = useAnswer("studio", "readStudio", {});
  const all = machines.data?.items;
  const sewing = useMemo(() => (all ?? []).filter((one) => one.kind !== "straight-stitch" && one.needles.length > 0), [all]); // prettier-ignore
  const chosen: shapes.MachineRecord | undefined =
    sewing.find(({ id }) => id === wanted) ?? sewing.find(({ kind }) => kind === "multi-needle") ?? sewing[0];
  const times = studio.data?.stepTimes;
  const pace = useMemo<MachinePace>(
    () => ({
      machine: chosen?.name ?? null,
      stitchesPerMinute: chosen?.stitchesPerMinute ?? 850,
      colourChangeS: chosen?.times.colourChangeS ?? times?.colourChangeS ?? 8,
      trimS: chosen?.times.trimS ?? times?.trimS ?? 6,
    }),
    [chosen, times],
  );
  return { machines: sewing, chosen, pace };
}
