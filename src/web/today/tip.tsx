import type { TimeAxis } from "#drawing";
import type { ReactNode } from "react";
import { Hem } from "../parts/hem";
import { ThreadChip } from "../parts/thread-chip";
import { type Day, lengthWords, standingOf, timeWords } from "./day";
import { handGroups } from "./lane-hand";
import { placedTicks, spanWords } from "./lane-machine";
import { telling } from "./next-thing";

export interface TipPlace {
  /** What it tells of: the data-tip of what is under the pointer or focused. */
  readonly what: string;
  readonly x: number;
  readonly above: number;
  readonly below: number;
  readonly roomPx: number;
}

interface TipLook {
  readonly place: TipPlace;
  readonly day: Day;
  readonly nowS: number;
  readonly axis: TimeAxis;
  readonly whyDown: (machineId: string, start: number, end: number) => string;
  readonly onEnter: () => void;
  readonly onLeave: () => void;
}

const TIP_PX = 320;

/** What the board has no room to say, beside what is pointed at or walked to; Escape puts it away. */
export function BoardTip({ place, day, nowS, axis, whyDown, onEnter, onLeave }: TipLook) {
  const content = tipContent({ what: place.what, day, nowS, axis, whyDown });
  if (!content) return null;
  return (
    <div
      className="tip"
      role="tooltip"
      style={{
        left: Math.max(4, Math.min(place.x, place.roomPx - TIP_PX - 8)),
        top: place.below + 6,
        width: TIP_PX,
      }}
      onPointerEnter={onEnter}
      onPointerLeave={onLeave}
    >
      {content}
    </div>
  );
}

function tipContent({
  what,
  day,
  nowS,
  axis,
  whyDown,
}: Pick<TipLook, "day" | "nowS" | "axis" | "whyDown"> & { readonly what: string }): ReactNode {
  const [kind = "", ...rest] = what.split(" ");
  const id = rest.join(" ");
  if (kind === "job") return <JobTip day={day} jobId={id} nowS={nowS} />;
  // Ids have no spaces in them; the last word is an index or a time.
  const last = rest.at(-1) ?? "";
  const owner = rest.slice(0, -1).join(" ");
  if (kind === "tick") {
    const lane = day.lanes.get(owner);
    const placed = lane && placedTicks(lane, axis)[Number(last)];
    return (
      placed &&
      placed.merged.map((tick) => (
        <div key={`${tick.jobId} ${tick.midStop}`}>
          <b>
            {timeWords(day.view, tick.start, nowS)} · threading for {day.jobs.get(tick.jobId)?.title}
            {tick.midStop > 0 && `, at stop ${tick.midStop} inside it`}
          </b>
          <ul className="tip-list">
            {tick.puts.map((put) => (
              <li key={put.needle}>
                needle {put.needle}:{" "}
                {put.off ? (
                  <>
                    off <ThreadChip thread={day.threads.get(put.off)} />, on{" "}
                  </>
                ) : (
                  "was empty, on "
                )}
                <ThreadChip thread={day.threads.get(put.on)} />
              </li>
            ))}
          </ul>
        </div>
      ))
    );
  }
  if (kind === "hand") {
    const lane = day.board.hands.find((one) => one.handId === owner);
    const group = lane && handGroups(lane.tasks, axis)[Number(last)];
    return (
      group && (
        <>
          <b>
            {day.hands.get(owner)?.name} · {spanWords(day, group.start, group.end, nowS)}
          </b>
          <ul className="tip-list">
            {group.tasks.slice(0, 10).map((task) => (
              <li key={`${task.start} ${task.do}`}>
                {timeWords(day.view, task.start, nowS)}{" "}
                {telling(day, { start: task.start, end: task.end, tasks: [task] })}
              </li>
            ))}
            {group.tasks.length > 10 && <li>and {group.tasks.length - 10} more</li>}
          </ul>
        </>
      )
    );
  }
  if (kind === "chore") {
    const task = day.view.plan.tasks.find((one) => one.chore === last);
    return (
      task && (
        <b>{`${telling(day, { start: task.start, end: task.end, tasks: [task] })}, ${spanWords(day, task.start, task.end, nowS)}, ${day.hands.get(task.hand)?.name}`}</b>
      )
    );
  }
  if (kind === "down") {
    const span = day.lanes.get(owner)?.down.find(([start]) => start === Number(last));
    return (
      span && (
        <b>{`${day.machines.get(owner)?.name} away ${spanWords(day, span[0], span[1], nowS)}: ${whyDown(owner, span[0], span[1])}`}</b>
      )
    );
  }
  return null;
}

function JobTip({ day, jobId, nowS }: { readonly day: Day; readonly jobId: string; readonly nowS: number }) {
  const job = day.jobs.get(jobId);
  const block = day.blocks.get(jobId);
  if (!job || !block) return null;
  const late = day.late.get(jobId);
  const standing = standingOf(job, block, nowS);
  return (
    <>
      <Hem
        decorative
        parts={job.parts.map((part) => ({ thread: day.threads.get(part.threadId), stitches: part.stitches }))}
      />
      <b className="tip-title">{job.title}</b>
      <span>
        {job.product}, {job.placement} · {job.pieceCode}
      </span>
      <span>
        {day.machines.get(block.machineId)?.name} {spanWords(day, block.start, block.end, nowS)}, sewing{" "}
        {lengthWords(block.run.stretches.reduce((sum, stretch) => sum + stretch.end - stretch.start, 0))}
        {block.midStops > 0 && `, ${block.midStops} ${block.midStops === 1 ? "mid-stop" : "mid-stops"}`}
      </span>
      <span className={late === undefined ? "words-done" : "words-late"}>
        {late === undefined
          ? `on time, finished ${timeWords(day.view, block.finishedAt, nowS)}`
          : `late by ${lengthWords(late * 60)}`}
      </span>
      {standing === "unmarked" && <span>Its time is over, but nobody marked it as sewn.</span>}
      {job.urgency === "first" && <span>Pulled first.</span>}
      {job.pinnedMachineId && <span>Pinned to {day.machines.get(job.pinnedMachineId)?.name}.</span>}
      <span className="tip-threads">
        {[...new Set(job.parts.map((part) => part.threadId))].map((id) => (
          <ThreadChip key={id} thread={day.threads.get(id)} />
        ))}
      </span>
    </>
  );
}
