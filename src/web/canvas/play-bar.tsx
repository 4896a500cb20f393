import { Button } from "@mantine/core";
import { durationWords } from "../parts/quantity";
import type { Known, NeedleAt } from "./messages";
import type { Playing, Rate } from "./use-play";

const count = new Intl.NumberFormat();

const byTime: readonly { readonly times: number; readonly words: string }[] = [
  { times: 1, words: "as it sews" },
  { times: 10, words: "10 × faster" },
  { times: 60, words: "60 × faster" },
  { times: 600, words: "600 × faster" },
];
const byStitch: readonly number[] = [2, 20, 200, 2000];

const keyOf = (rate: Rate) => (rate.by === "time" ? `time ${rate.times}` : `stitch ${rate.perSecond}`);
function rateOf(key: string): Rate {
  const [by, value] = key.split(" ");
  return by === "time" ? { by, times: Number(value) } : { by: "stitch", perSecond: Number(value) };
}

interface PlayBarProps {
  readonly play: Playing;
  readonly known: Known | null;
  readonly needle: NeedleAt | null;
  readonly partWords: readonly string[];
  /** The machine's name; null where the shop has none and usual times are taken. */
  readonly machine: string | null;
  readonly needleOf: (part: number) => number | null;
}

/** Sewing played back: to and fro by stitch, by part, or in the machine's own time. */
export function PlayBar({ play, known, needle, partWords, machine, needleOf }: PlayBarProps) {
  const { upTo, total } = play;
  return (
    <div className="viewer-play">
      <Button size="md" className="viewer-go" disabled={total === 0} onClick={play.toggle}>
        {play.playing ? "Pause" : "Play"}
      </Button>
      <Button
        variant="default"
        size="md"
        aria-label="One stitch back"
        disabled={total === 0}
        onClick={() => play.step(-1)}
      >
        ‹
      </Button>
      <input
        className="canvas-range"
        type="range"
        aria-label="Stitch shown last"
        aria-valuetext={`${count.format(upTo ?? total)} of ${count.format(total)}`}
        min={0}
        max={Math.max(1, total)}
        step={1}
        value={upTo ?? total}
        disabled={total === 0}
        onChange={(event) => play.goTo(Number(event.currentTarget.value))}
      />
      <Button
        variant="default"
        size="md"
        aria-label="One stitch on"
        disabled={total === 0}
        onClick={() => play.step(1)}
      >
        ›
      </Button>
      <label className="viewer-choice">
        <span className="visually-hidden">Speed</span>
        <select
          className="plain-select"
          value={keyOf(play.rate)}
          onChange={(event) => play.setRate(rateOf(event.currentTarget.value))}
        >
          <optgroup label={`By time on ${machine ?? "a usual machine"}`}>
            {byTime.map(({ times, words }) => (
              <option key={times} value={`time ${times}`}>
                {words}
              </option>
            ))}
          </optgroup>
          <optgroup label="By stitch">
            {byStitch.map((perSecond) => (
              <option key={perSecond} value={`stitch ${perSecond}`}>
                {count.format(perSecond)} a second
              </option>
            ))}
          </optgroup>
        </select>
      </label>
      <p className="viewer-where">{total === 0 || !known ? " " : whereWords()}</p>
    </div>
  );

  function whereWords() {
    const clock = `${clockWords(play.shownS)} of ${clockWords(play.totalS)}`;
    if (upTo === null)
      return `all ${count.format(total)} records · ${durationWords(Math.round(play.totalS))} of sewing`;
    const part = needle?.part ?? 0;
    const onNeedle = needleOf(part + (play.changing ? 1 : 0));
    const thread = partWords[part + (play.changing ? 1 : 0)] ?? "";
    const calm = play.calm ? " · in steps of a second, as this device asks for less motion" : "";
    return `${count.format(upTo)} of ${count.format(total)} · ${clock} · ${play.changing ? "changing to " : `part ${part + 1}: `}${thread}${onNeedle === null ? "" : `, needle ${onNeedle}`}${calm}`;
  }
}

/** "4:07", "1:02:30". */
export function clockWords(seconds: number): string {
  const whole = Math.floor(seconds);
  const parts = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const shown = parts[0] === 0 ? parts.slice(1) : parts;
  return shown.map((part, i) => (i === 0 ? String(part) : String(part).padStart(2, "0"))).join(":");
}
