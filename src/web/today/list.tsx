import { SegmentedControl, TextInput } from "@mantine/core";
import type { Block } from "#drawing";
import { localTime } from "#core/shop";
import { useDeferredValue, useState } from "react";
import { Hem } from "../parts/hem";
import { ThreadChip } from "../parts/thread-chip";
import { dateWords, type Day, lengthWords, type Standing, standingOf, timeWords } from "./day";
import "./list.css";
import "./card.css";

const standingWords: Record<Standing, string> = {
  done: "sewn",
  running: "sewing",
  unmarked: "not marked",
  ahead: "",
};

/** The same plan as a list: by the clock, or machine by machine. Also the plan's form on a phone. */
export function PlanList({
  day,
  nowS,
  onOpen,
}: {
  readonly day: Day;
  readonly nowS: number;
  readonly onOpen: (jobId: string) => void;
}) {
  const [order, setOrder] = useState("time");
  const [search, setSearch] = useState("");
  const words = useDeferredValue(search).trim().toLocaleLowerCase();
  const blocks = [...day.blocks.values()].filter((block) => {
    const job = day.jobs.get(block.jobId);
    return (
      words === "" ||
      [job?.title, job?.product, job?.pieceCode, job?.orderReference, job?.customer].some((text) =>
        text?.toLocaleLowerCase().includes(words),
      )
    );
  });
  const dateOf = (block: Block) =>
    localTime(day.view.timeZone, day.view.startsAtMs + block.start * 1000).date;
  const sections =
    order === "time"
      ? [...new Set([...blocks].sort((a, b) => a.start - b.start).map(dateOf))].map((date) => ({
          title: dateWords(date, true),
          blocks: blocks.filter((block) => dateOf(block) === date).sort((a, b) => a.start - b.start),
        }))
      : day.board.machines.map((lane) => ({
          title: day.machines.get(lane.machineId)?.name ?? lane.machineId,
          blocks: lane.blocks.filter((block) => blocks.includes(block)),
        }));
  return (
    <section aria-label="The plan as a list">
      <div className="list-tools">
        <SegmentedControl
          aria-label="Order of the list"
          value={order}
          onChange={setOrder}
          data={[
            { value: "time", label: "By the clock" },
            { value: "machine", label: "By machine" },
          ]}
          size="md"
        />
        <TextInput
          aria-label="Search the plan"
          placeholder="Search name, product, order"
          value={search}
          onChange={(event) => setSearch(event.currentTarget.value)}
          size="md"
          className="list-search"
        />
        <span className="quiet" role="status">
          {blocks.length === day.blocks.size
            ? `${blocks.length} pieces`
            : `${blocks.length} of ${day.blocks.size} pieces`}
        </span>
      </div>
      {blocks.length === 0 && <p className="quiet">No piece of the plan matches “{search}”.</p>}
      {sections
        .filter((section) => section.blocks.length > 0)
        .map((section) => (
          <div key={section.title} className="list-section">
            <h2>{section.title}</h2>
            <ol className="sheet list">
              {section.blocks.map((block) => (
                <Row
                  key={block.jobId}
                  day={day}
                  block={block}
                  nowS={nowS}
                  onOpen={onOpen}
                  withMachine={order === "time"}
                  withDay={order !== "time"}
                />
              ))}
            </ol>
          </div>
        ))}
    </section>
  );
}

function Row({
  day,
  block,
  nowS,
  onOpen,
  withMachine,
  withDay,
}: {
  readonly day: Day;
  readonly block: Block;
  readonly nowS: number;
  readonly onOpen: (jobId: string) => void;
  readonly withMachine: boolean;
  readonly withDay: boolean;
}) {
  const job = day.jobs.get(block.jobId);
  if (!job) return null;
  const late = day.late.get(block.jobId);
  const standing = standingOf(job, block, nowS);
  const puts = (day.lanes.get(block.machineId)?.ticks ?? [])
    .filter((tick) => tick.jobId === block.jobId)
    .flatMap((tick) => tick.puts.map((put) => ({ ...put, midStop: tick.midStop })));
  const from = withDay ? timeWords(day.view, block.start, nowS) : timeWords(day.view, block.start);
  return (
    <li className={`row row-${standing} ${late === undefined ? "" : "row-late"}`}>
      <span className="row-time">
        <b>{from}</b>
        <span className="quiet">to {timeWords(day.view, block.end, block.start)}</span>
      </span>
      <button type="button" className="row-piece" onClick={() => onOpen(block.jobId)}>
        <Hem
          decorative
          heightPx={9}
          parts={job.parts.map((part) => ({
            thread: day.threads.get(part.threadId),
            stitches: part.stitches,
          }))}
        />
        <b>{job.title}</b>
        <span className="quiet">
          {job.product} · {job.pieceCode}
          {withMachine && ` · ${day.machines.get(block.machineId)?.name ?? ""}`}
        </span>
      </button>
      <span className="row-threads">
        {puts.length === 0 ? (
          <span className="quiet">no threading</span>
        ) : (
          puts.map((put) => (
            <span key={`${put.needle} ${put.midStop}`} className="row-put">
              {put.needle} <ThreadChip thread={day.threads.get(put.on)} short />
              {put.midStop > 0 && <span className="quiet">at stop {put.midStop}</span>}
            </span>
          ))
        )}
      </span>
      <span className="row-standing">
        <span className={late === undefined ? "words-done" : "words-late"}>
          {late === undefined ? "on time" : `late by ${lengthWords(late * 60)}`}
        </span>
        <span className="quiet">
          {[
            standingWords[standing],
            job.urgency === "first" ? "first" : "",
            job.pinnedMachineId ? "pinned" : "",
            day.moved.has(job.jobId) ? "moved" : "",
          ]
            .filter((word) => word !== "")
            .join(" · ")}
        </span>
      </span>
    </li>
  );
}
