import { useEffect, useMemo, useRef, useState } from "react";
import { STOP } from "./stitches";
import { type Pace, recordsAt, stitchesOn, timelineOf } from "./timeline";

/** How fast sewing is played: a machine's own time, so many times faster, or so many stitches a second. */
export type Rate =
  { readonly by: "time"; readonly times: number } | { readonly by: "stitch"; readonly perSecond: number };

/** Under reduced motion the picture goes on in steps this far apart. */
const CALM_STEP_MS = 1000;
const NONE = new Uint8Array(0);

const asksForCalm = () => window.matchMedia("(prefers-reduced-motion: reduce)").matches;

/** Playing a design back. `upTo` is how many records are shown; null shows all. */
export function usePlay({
  kinds = NONE,
  pace,
  sameThread,
}: {
  readonly kinds: Uint8Array | undefined;
  readonly pace: Pace;
  readonly sameThread: (part: number) => boolean;
}) {
  const [upTo, setUpTo] = useState<number | null>(null);
  const [playing, setPlaying] = useState(false);
  const [rate, setRate] = useState<Rate>({ by: "time", times: 60 });
  const [clockS, setClockS] = useState(0);
  const total = kinds.length;
  const { stitchesPerMinute, colourChangeS, trimS } = pace;
  const timeline = useMemo(
    () => timelineOf(kinds, { stitchesPerMinute, colourChangeS, trimS }, sameThread),
    [kinds, stitchesPerMinute, colourChangeS, trimS, sameThread],
  );
  const from = useRef({ upTo, clockS });
  useEffect(() => {
    from.current = { upTo, clockS };
  });

  useEffect(() => {
    if (!playing || total === 0) return;
    const calm = asksForCalm();
    const start = from.current.upTo;
    const anew = start === null || start >= total;
    let at = anew ? 0 : start;
    // A pause inside a colour change goes on inside it.
    let seconds = anew ? 0 : Math.max(timeline.secondsAt[at] ?? 0, Math.min(from.current.clockS, timeline.secondsAt[at + 1] ?? Infinity)); // prettier-ignore
    let before = performance.now();
    let told = -Infinity;
    let frame = 0;
    const next = (ms: number) => {
      const passedS = Math.max(0, ms - before) / 1000;
      before = ms;
      if (rate.by === "time") {
        seconds += passedS * rate.times;
        at = recordsAt(timeline, seconds);
      } else {
        at += passedS * rate.perSecond;
        seconds = timeline.secondsAt[Math.min(total, Math.floor(at))]!;
      }
      if (at >= total) {
        setUpTo(null);
        setPlaying(false);
        return;
      }
      if (!calm || ms - told >= CALM_STEP_MS) {
        told = ms;
        setUpTo(Math.floor(at));
        setClockS(seconds);
      }
      frame = requestAnimationFrame(next);
    };
    frame = requestAnimationFrame(next);
    return () => cancelAnimationFrame(frame);
  }, [playing, total, rate, timeline]);

  const goTo = (records: number) => {
    setPlaying(false);
    const at = Math.min(Math.max(records, 0), total);
    setClockS(timeline.secondsAt[at] ?? 0);
    setUpTo(at >= total ? null : at);
  };
  const shownS = upTo === null ? timeline.totalS : clockS;
  return {
    upTo,
    playing,
    rate,
    total,
    shownS,
    totalS: timeline.totalS,
    /** Whether the machine stands for a colour change just now. */
    changing: upTo !== null && kinds[upTo] === STOP && shownS > timeline.secondsAt[upTo]! + 0.01,
    calm: playing && asksForCalm(),
    setRate,
    toggle: () => total > 0 && setPlaying(!playing),
    goTo,
    step: (by: 1 | -1) => goTo(stitchesOn(kinds, upTo ?? total, by)),
    /** To the first record of the part before or after the one shown. */
    stepPart: (by: 1 | -1, partStarts: readonly number[]) => {
      const here = upTo ?? total;
      const next =
        by === 1 ? partStarts.find((start) => start > here) : partStarts.findLast((start) => start < here);
      goTo(next ?? (by === 1 ? total : 0));
    },
  };
}

export type Playing = ReturnType<typeof usePlay>;
