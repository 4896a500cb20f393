import { type Block, fitTitle, type MachineLane, placeTicks, type PlacedTick, type TimeAxis } from "#drawing";
import { memo, useMemo } from "react";
import { ThreadTwist } from "../parts/thread-chip";
import { blockWords, type Day, lengthWords, standingOf, timeWords } from "./day";
import { textWidth } from "./measure";
import { TaskSign } from "./task-look";

/** The hem of a block in px: colours where they are sewn, the quiet ground where the machine stands. */
function hemOf(day: Day, block: Block, axis: TimeAxis, left: number): string {
  const stops: string[] = [];
  let at = 0;
  for (const seam of block.seams) {
    const from = axis.x(seam.start) - left;
    const to = axis.x(seam.end) - left;
    if (from - at > 0.3) stops.push(`transparent ${at.toFixed(1)}px ${from.toFixed(1)}px`);
    stops.push(
      `${day.threads.get(seam.colour)?.rgb ?? "var(--sw-edge)"} ${from.toFixed(1)}px ${to.toFixed(1)}px`,
    );
    at = to;
  }
  stops.push(`transparent ${at.toFixed(1)}px`);
  return `linear-gradient(to right, ${stops.join(", ")})`;
}

interface BlockLook {
  readonly day: Day;
  readonly block: Block;
  readonly axis: TimeAxis;
  readonly standing: ReturnType<typeof standingOf>;
  /** Now to the hour: what a label says changes no sooner, and the block need not be drawn again. */
  readonly hourS: number;
  readonly active: boolean;
  readonly position: number;
  readonly count: number;
}

const BlockView = memo(function BlockView({
  day,
  block,
  axis,
  standing,
  hourS,
  active,
  position,
  count,
}: BlockLook) {
  const job = day.jobs.get(block.jobId);
  const left = axis.x(block.start);
  const width = Math.max(3, axis.x(block.end) - left - 1);
  const late = day.late.get(block.jobId);
  const room = width - (late === undefined ? 10 : 15);
  const called = job?.title ?? block.jobId;
  // A whole name in smaller letters says more than a large initial.
  const tight = textWidth(called, "title") > room && textWidth(called, "tight") <= room;
  const title = fitTitle({
    title: called,
    widthPx: room,
    measure: (text) => textWidth(text, tight ? "tight" : "title"),
  });
  const under = late === undefined ? [job?.product ?? ""] : [`late by ${lengthWords(late * 60)}`, "late"];
  const second = under.find((words) => textWidth(words, "small") <= room) ?? "";
  return (
    <div
      id={`block-${block.jobId}`}
      role="option"
      aria-selected={active}
      aria-label={blockWords(day, block, standing, hourS)}
      aria-posinset={position}
      aria-setsize={count}
      data-tip={`job ${block.jobId}`}
      data-job={block.jobId}
      className={`block block-${standing} ${late === undefined ? "" : "block-late"} ${job?.urgency === "first" ? "block-first" : ""} ${active ? "block-active" : ""}`}
      style={{ left, width }}
    >
      <span className="block-hem" style={{ backgroundImage: hemOf(day, block, axis, left) }} />
      {(title !== "" || second !== "") && (
        <span className="block-words">
          {title !== "" && (
            <span className={tight ? "block-title block-title-tight" : "block-title"}>{title}</span>
          )}
          {second !== "" && <span className="block-second">{second}</span>}
        </span>
      )}
    </div>
  );
});

const WIDE_CHIP_PX = 58;
const CHIP_PX = 20;
const PIN_PX = 9;

function TickView({
  day,
  placed,
  wide,
  index,
}: {
  readonly day: Day;
  readonly placed: PlacedTick;
  readonly wide: boolean;
  readonly index: number;
}) {
  const puts = placed.merged.flatMap((tick) => tick.puts);
  return (
    <div
      className={`tick ${placed.tick.midStop > 0 ? "tick-stop" : ""}`}
      style={{ left: placed.x }}
      data-tip={`tick ${placed.tick.machineId} ${index}`}
    >
      <span className="tick-pin" />
      {puts.slice(0, placed.shown).map((put, at) => {
        const thread = day.threads.get(put.on);
        return (
          <span key={at} className="tick-chip" style={{ width: wide ? WIDE_CHIP_PX - 3 : CHIP_PX - 3 }}>
            <ThreadTwist rgb={thread?.rgb ?? "#888888"} className="tick-twist" />
            {wide && <b>{thread?.code ?? put.on}</b>}
          </span>
        );
      })}
      {placed.more > 0 && placed.shown > 0 && <span className="tick-more">+{placed.more}</span>}
    </div>
  );
}

/** The ticks as they stand side by side at this scale. */
export function placedTicks(lane: MachineLane, axis: TimeAxis) {
  return placeTicks({ ticks: lane.ticks, axis, pinPx: PIN_PX, chipPx: CHIP_PX, morePx: 26 });
}

export interface LaneLook {
  readonly day: Day;
  readonly lane: MachineLane;
  readonly axis: TimeAxis;
  readonly nowS: number;
  readonly windowPx: readonly [number, number];
  readonly activeJobId: string;
  readonly whyDown: (start: number, end: number) => string;
}

/** What happens on one machine: down times, pieces, threadings, chores. */
export function MachineTrack({
  day,
  lane,
  axis,
  nowS,
  windowPx: [from, to],
  activeJobId,
  whyDown,
}: LaneLook) {
  const ticks = useMemo(() => placedTicks(lane, axis), [lane, axis]);
  const inSight = (start: number, end: number) => from <= axis.x(end) && axis.x(start) <= to;
  return (
    <>
      <div className="track-ground" aria-hidden>
        {lane.down
          .filter(([start, end]) => inSight(start, end))
          .map(([start, end]) => {
            const left = axis.x(start);
            const width = Math.max(3, axis.x(end) - left);
            const why = whyDown(start, end);
            return (
              <div
                key={start}
                className="down"
                style={{ left, width }}
                data-tip={`down ${lane.machineId} ${start}`}
              >
                {Math.max(...why.split(" ").map((word) => textWidth(word, "small"))) + 18 <= width && (
                  <span className="down-words">{why}</span>
                )}
              </div>
            );
          })}
        {lane.chores
          .filter((task) => inSight(task.start, task.end))
          .map((task) => {
            const title = day.chores.get(task.chore ?? "")?.title ?? "";
            const width = Math.max(3, axis.x(task.end) - axis.x(task.start) - 1);
            return (
              <div
                key={task.chore}
                className="machine-chore"
                style={{ left: axis.x(task.start), width }}
                data-tip={`chore ${task.hand} ${task.chore}`}
              >
                {textWidth(title, "small") + 26 <= width ? (
                  <>
                    <TaskSign kind="chore" /> {title}
                  </>
                ) : (
                  width >= 18 && <TaskSign kind="chore" />
                )}
              </div>
            );
          })}
        {ticks.map((placed, index) => {
          if (placed.x < from || to < placed.x) return null;
          const room = (ticks[index + 1]?.x ?? Infinity) - placed.x - PIN_PX;
          const count = placed.merged.reduce((sum, tick) => sum + tick.puts.length, 0);
          return (
            <TickView
              key={`${placed.tick.jobId} ${placed.tick.midStop}`}
              day={day}
              placed={
                count * WIDE_CHIP_PX <= room && axis.pxPerS > 0.1
                  ? { ...placed, shown: count, more: 0 }
                  : placed
              }
              wide={count * WIDE_CHIP_PX <= room && axis.pxPerS > 0.1}
              index={index}
            />
          );
        })}
      </div>
      {lane.blocks.map((block, index) => {
        const job = day.jobs.get(block.jobId);
        const active = block.jobId === activeJobId;
        if (!active && !inSight(block.start, block.end)) return null;
        const standing = job ? standingOf(job, block, nowS) : "ahead";
        return (
          <BlockView
            key={block.jobId}
            day={day}
            block={block}
            axis={axis}
            standing={standing}
            hourS={Math.floor(nowS / 3600) * 3600}
            active={active}
            position={index + 1}
            count={lane.blocks.length}
          />
        );
      })}
    </>
  );
}

export const spanWords = (day: Day, start: number, end: number, nowS: number): string =>
  `${timeWords(day.view, start, nowS)} to ${timeWords(day.view, end, nowS)}`;
