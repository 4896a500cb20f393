import type { shapes } from "#contract";
import { needlesOfRun } from "#drawing";
import { addressOf } from "../client";
import { Hem } from "../parts/hem";
import { NeedleMap, type NeedlePlace } from "../parts/needle-map";
import { ThreadChip, type ThreadFace } from "../parts/thread-chip";
import { type Day, lengthWords, timeWords } from "../today/day";
import "./run-sheet.css";

/** A design drawn as thread, in the threads of a piece. */
export function DesignImage({
  versionId,
  threadIds,
  name,
  size = "small",
}: {
  readonly versionId: string;
  readonly threadIds: readonly (string | null)[];
  readonly name: string;
  readonly size?: "small" | "full";
}) {
  const threads = threadIds.length > 0 && threadIds.every((id) => id !== null) ? threadIds.join(",") : "";
  return (
    <img
      className="design-image"
      src={addressOf(
        "designPicture",
        { id: versionId },
        { size, threads: threads.length <= 4000 ? threads : "" },
      )}
      alt={`The design ${name}, as it will be sewn`}
      loading="lazy"
    />
  );
}

/** Needles of a planned run as a map: what must be threaded, and what comes off. */
export function runNeedles(day: Day, jobId: string): NeedlePlace[] {
  const block = day.blocks.get(jobId);
  const lane = block && day.lanes.get(block.machineId);
  const machine = block && day.machines.get(block.machineId);
  if (!block || !lane || !machine) return [];
  return needlesOfRun(lane, jobId, machine.threaded).map((use) => ({
    number: use.needle,
    thread: use.on === null ? null : (day.threads.get(use.on) ?? null),
    change: use.put !== null,
    was: use.put?.off ? (day.threads.get(use.put.off) ?? null) : null,
    atStop: use.midStop > 0 ? use.midStop : undefined,
    fixed: machine.fixed.includes(use.needle),
    used: use.used,
  }));
}

/** The parts in the order they are sewn, each with its needle and thread. */
export function PartList({
  parts,
  needles,
}: {
  readonly parts: readonly { readonly thread: ThreadFace | null; readonly stitches: number }[];
  readonly needles?: readonly number[];
}) {
  return (
    <ol className="part-list" aria-label="Parts in the order they are sewn">
      {parts.map((part, index) => (
        <li key={index}>
          {needles?.[index] !== undefined && <span className="part-needle">needle {needles[index]}</span>}
          <ThreadChip thread={part.thread} />
          <span className="quiet">{part.stitches.toLocaleString("en-GB")} stitches</span>
        </li>
      ))}
    </ol>
  );
}

/** One run of a piece as the plan has it: picture, what to sew it with, needles, times, and why it stands there. */
export function RunSheet({
  day,
  job,
  nowS,
}: {
  readonly day: Day;
  readonly job: shapes.PlannedJob;
  readonly nowS: number;
}) {
  const block = day.blocks.get(job.jobId);
  const late = day.late.get(job.jobId);
  const machine = block && day.machines.get(block.machineId);
  const own = day.view.plan.tasks.filter((task) => task.job === job.jobId);
  const hooping = own.find((task) => task.do === "hoop");
  const number = block?.run.hoop?.split("/").at(-1);
  const parts = job.parts.map((part) => ({
    thread: day.threads.get(part.threadId) ?? null,
    stitches: part.stitches,
  }));
  const needles = runNeedles(day, job.jobId);
  const changes = needles.filter((needle) => needle.change).length;
  return (
    <div className="run-sheet">
      {job.designVersionId && (
        <DesignImage
          versionId={job.designVersionId}
          threadIds={job.parts.map((part) => part.threadId)}
          name={job.designName}
        />
      )}
      <Hem parts={parts} heightPx={14} />
      {block && machine ? (
        <>
          <p className="run-when">
            <b>
              {machine.name}, {timeWords(day.view, block.start, nowS)} to{" "}
              {timeWords(day.view, block.end, nowS)}
            </b>
            <span>
              {hooping &&
                `hooped at ${timeWords(day.view, hooping.start, nowS)} by ${day.hands.get(hooping.hand)?.name ?? hooping.hand}, `}
              {`sewing ${lengthWords(block.run.stretches.reduce((sum, stretch) => sum + stretch.end - stretch.start, 0))}, finished at ${timeWords(day.view, block.finishedAt, nowS)}`}
            </span>
            <span className={late === undefined ? "words-done" : "words-late"}>
              {late === undefined ? "on time" : `late by ${lengthWords(late * 60)}`}
            </span>
          </p>
          {job.whyLate && (
            <p className="run-why">
              <span className="quiet">Why late: </span>
              {job.whyLate}
            </p>
          )}
          {job.why && (
            <p className="run-why">
              <span className="quiet">Why here: </span>
              {job.why}
            </p>
          )}
        </>
      ) : (
        <p className="run-when">This run is not in the plan.</p>
      )}
      <dl className="facts">
        <dt>Placement</dt>
        <dd>
          {job.placement}
          {job.where && job.where !== job.placement && <span className="quiet"> {job.where}</span>}
        </dd>
        <dt>Hoop</dt>
        <dd>{job.hoopName ? `${job.hoopName}${number ? `, number ${number}` : ""}` : "none"}</dd>
        <dt>Backing</dt>
        <dd>{job.backing ?? "none"}</dd>
        <dt>Topping</dt>
        <dd>{job.topping ?? "none"}</dd>
        <dt>Needle</dt>
        <dd>{job.needleAdvice}</dd>
      </dl>
      {job.caution && <p className="caution">{job.caution}</p>}
      {needles.length > 0 && (
        <>
          <h3>
            Needles on {machine?.name} {changes === 0 ? "– nothing to thread" : `– ${changes} to thread`}
          </h3>
          {changes > 0 && (
            <p className="caution">Stop the machine and keep hands clear before you reach for a needle.</p>
          )}
          <NeedleMap needles={needles} size="small" label={`Needles of ${machine?.name}`} />
        </>
      )}
      <h3>Sewn in this order</h3>
      <PartList parts={parts} needles={block?.run.needles} />
    </div>
  );
}
