import { Link } from "@tanstack/react-router";
import { useState } from "react";
import type { shapes } from "#contract";
import { type RegisterValues, registerKey, type StopWhy, threadOn } from "#core/floor";
import { SpoolDrawing } from "../parts/spool";
import { Choice, ChoiceSheet, untilChoices } from "./choices";
import { isOpenEnded, shortName } from "./sentences";
import type { Scanned } from "./station-day";
import type { Floor } from "./use-floor";

/** The questions behind a station's buttons: each is one sheet, answered with one or two taps. */
interface Asked {
  readonly floor: Floor;
  readonly onClose: () => void;
}
interface AskedOfPiece extends Asked {
  readonly machineId: string;
  readonly job: shapes.PlannedJob;
}

const of = (job: shapes.PlannedJob) => ({ pieceId: job.pieceId, jobId: job.jobId });
const upper = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1);

/** Why the machine stopped; for a break or a needle, which one. */
export function StopQuestion({ floor, machineId, job, onClose }: AskedOfPiece) {
  const [why, setWhy] = useState<"thread-broke" | "needle" | null>(null);
  const machine = floor.answer.machines.find((one) => one.id === machineId);
  const run = floor.floor.plan.runs.find((one) => one.job === job.jobId);
  const used = new Set(run?.needles ?? []);
  const told = (what: StopWhy, needle: number | null, words: string) => {
    floor.told({ kind: "stopped", ...of(job), machineId, why: what, needle, note: "" }, words);
    onClose();
  };
  const name = machine?.name ?? "The machine";
  if (why !== null) {
    const needles = [...(machine?.needles ?? [])].sort(
      (a, b) => Number(used.has(b.number)) - Number(used.has(a.number)) || a.number - b.number,
    );
    const words = why === "thread-broke" ? "the thread broke" : "the needle";
    return (
      <ChoiceSheet
        title={why === "thread-broke" ? "On which needle did it break?" : "Which needle?"}
        onClose={onClose}
      >
        <div className="choice-needles">
          {needles.map(({ number }) => {
            const thread = floor.threads.get(threadOn(floor.floor, machineId, number) ?? "");
            return (
              <Choice
                key={number}
                onChoose={() => told(why, number, `${name} stopped: ${words}, needle ${number}`)}
              >
                {number} <SpoolDrawing rgb={thread?.rgb ?? null} size="small" />
                <small>{thread?.code ?? "empty"}</small>
              </Choice>
            );
          })}
        </div>
        <Choice onChoose={() => told(why, null, `${name} stopped: ${words}`)}>I don’t know</Choice>
      </ChoiceSheet>
    );
  }
  return (
    <ChoiceSheet title={`Why did ${name} stop?`} onClose={onClose}>
      <div className="choice-row">
        <Choice onChoose={() => setWhy("thread-broke")}>Thread broke</Choice>
        <Choice onChoose={() => told("bobbin", null, `${name} stopped: the bobbin`)}>Bobbin ran out</Choice>
        <Choice onChoose={() => setWhy("needle")}>Needle</Choice>
        <Choice onChoose={() => told("threading", null, `${name} stopped for thread`)}>To thread</Choice>
        <Choice onChoose={() => told("other", null, `${name} stopped`)}>Something else</Choice>
      </div>
    </ChoiceSheet>
  );
}

const spoils = [
  "A hole or a tear",
  "Crooked or misplaced",
  "Wrong thread",
  "Loops or gaps",
  "Hoop mark",
  "Stain",
];

/** Why a piece is spoiled, and whether it is made again at once. */
export function SpoiledQuestion({
  floor,
  machineId,
  job,
  onClose,
}: Asked & { readonly machineId: string | null; readonly job: shapes.PlannedJob }) {
  const [why, setWhy] = useState("");
  const tell = (remake: boolean) => {
    const name = upper(shortName(job));
    floor.told(
      { kind: "spoiled", ...of(job), machineId, why, remake },
      remake ? `${name} spoiled; it is made again` : `${name} spoiled`,
    );
    onClose();
  };
  return (
    <ChoiceSheet title={`What spoiled ${shortName(job)}?`} onClose={onClose}>
      <div className="choice-row">
        {spoils.map((one) => (
          <Choice key={one} tone={why === one ? "chosen" : "plain"} onChoose={() => setWhy(one)}>
            {one}
          </Choice>
        ))}
      </div>
      <label className="choice-label">
        <span className="quiet">Or in words</span>
        <input
          className="choice-text"
          value={spoils.includes(why) ? "" : why}
          maxLength={200}
          onChange={(event) => setWhy(event.target.value)}
        />
      </label>
      <div className="choice-row">
        <Choice tone="late" onChoose={() => tell(true)}>
          Spoiled, make it again
        </Choice>
        <Choice tone="plain" onChoose={() => tell(false)}>
          Spoiled, not again
        </Choice>
      </div>
    </ChoiceSheet>
  );
}

/** When a piece's turn comes again. */
export function LaterQuestion({
  floor,
  machineId,
  job,
  onClose,
}: Asked & { readonly machineId: string | null; readonly job: shapes.PlannedJob }) {
  const [half, hour, day] = untilChoices(floor.timeZone, floor.floor.nowMs);
  const twoHours = { words: "In 2 hours", untilMs: floor.floor.nowMs + 2 * 3_600_000 };
  const tell = (untilMs: number) => {
    floor.told(
      { kind: "skipped", ...of(job), machineId, untilMs },
      `${upper(shortName(job))} put off until ${floor.names.clock(untilMs)}`,
    );
    onClose();
  };
  return (
    <ChoiceSheet title={`When is ${shortName(job)}’s turn again?`} onClose={onClose}>
      <Choice tone="go" onChoose={() => tell(hour!.untilMs)}>
        In an hour
      </Choice>
      <div className="choice-row">
        <Choice onChoose={() => tell(half!.untilMs)}>In 30 minutes</Choice>
        <Choice onChoose={() => tell(twoHours.untilMs)}>{twoHours.words}</Choice>
        <Choice onChoose={() => tell(day!.untilMs)}>Not today</Choice>
      </div>
    </ChoiceSheet>
  );
}

/** Until when the machine is down. */
export function DownQuestion({ floor, machineId, onClose }: Asked & { readonly machineId: string }) {
  const name = floor.names.machine(machineId);
  return (
    <ChoiceSheet title={`${name} is down. Until when?`} onClose={onClose}>
      <div className="choice-row">
        {untilChoices(floor.timeZone, floor.floor.nowMs).map(({ words, untilMs }) => (
          <Choice
            key={words}
            onChoose={() => {
              floor.told(
                { kind: "machine-down", machineId, untilMs, why: "" },
                isOpenEnded(untilMs, floor.floor.nowMs)
                  ? `${name} is down`
                  : `${name} is down until ${floor.names.clock(untilMs)}`,
              );
              onClose();
            }}
          >
            {words}
          </Choice>
        ))}
      </div>
    </ChoiceSheet>
  );
}

const standing = <K extends "away" | "thread-out">(floor: Floor, kind: K, subject: string) =>
  floor.floor.registers.get(registerKey({ kind, subject }))?.value as RegisterValues[K] | undefined;

export const isAway = (floor: Floor, personId: string): RegisterValues["away"] | null => {
  const away = standing(floor, "away", personId);
  return away && away.untilMs > floor.floor.nowMs ? away : null;
};

/** Who is gone and until when; who is gone already can be told back. */
export function AwayQuestion({ floor, onClose }: Asked) {
  const [who, setWho] = useState<{ readonly id: string; readonly name: string } | null>(null);
  if (who)
    return (
      <ChoiceSheet title={`${who.name} is away. Until when?`} onClose={onClose}>
        <AwayUntil floor={floor} who={who} onTold={onClose} />
      </ChoiceSheet>
    );
  return (
    <ChoiceSheet title="Who is away?" onClose={onClose}>
      <div className="choice-row">
        {floor.answer.people.map((person) => {
          const away = isAway(floor, person.id);
          return (
            <Choice
              key={person.id}
              onChoose={() => {
                if (!away) return setWho(person);
                floor.told({ kind: "person-back", awayId: person.id }, `${person.name} is back`);
                onClose();
              }}
            >
              {person.name}
              {away && <small>away until {floor.names.clock(away.untilMs)}; tap: back again</small>}
            </Choice>
          );
        })}
      </div>
    </ChoiceSheet>
  );
}

export function AwayUntil({
  floor,
  who,
  onTold,
}: {
  readonly floor: Floor;
  readonly who: { readonly id: string; readonly name: string };
  readonly onTold: () => void;
}) {
  return (
    <div className="choice-row">
      {untilChoices(floor.timeZone, floor.floor.nowMs).map(({ words, untilMs }) => (
        <Choice
          key={words}
          onChoose={() => {
            floor.told(
              { kind: "person-away", awayId: who.id, untilMs, why: "" },
              `${who.name} is away until ${floor.names.clock(untilMs)}`,
            );
            onTold();
          }}
        >
          {words}
        </Choice>
      ))}
    </div>
  );
}

/** Which thread is used up: first those of the piece in hand, then the others on the machine. */
export function ThreadOutQuestion({
  floor,
  machineId,
  job,
  onClose,
}: Asked & { readonly machineId: string; readonly job: shapes.PlannedJob | null }) {
  const needles = floor.answer.machines.find((one) => one.id === machineId)?.needles ?? [];
  const on = needles.flatMap(({ number }) => threadOn(floor.floor, machineId, number) ?? []);
  const ids = [...new Set([...(job?.parts.map((part) => part.threadId) ?? []), ...on])];
  return (
    <ChoiceSheet title="Which thread is used up?" onClose={onClose}>
      {ids.length === 0 && <p className="quiet">No thread is on this machine.</p>}
      <div className="choice-row">
        {ids.map((threadId) => {
          const thread = floor.threads.get(threadId);
          if (!thread) return null;
          const isOut = standing(floor, "thread-out", threadId)?.out === true;
          return (
            <Choice
              key={threadId}
              onChoose={() => {
                floor.told(
                  { kind: isOut ? "thread-in" : "thread-out", threadId },
                  `${thread.code} ${thread.name} is ${isOut ? "there again" : "used up"}`,
                );
                onClose();
              }}
            >
              <SpoolDrawing rgb={thread.rgb} size="small" />
              {thread.code} {thread.name}
              {isOut && <small>used up; tap: there again</small>}
            </Choice>
          );
        })}
      </div>
    </ChoiceSheet>
  );
}

/** A piece whose code was read and that is not what the plan has next here. */
export function ScanQuestion({
  floor,
  machineId,
  found,
  onAnyway,
  onClose,
}: Asked & {
  readonly machineId: string;
  readonly found: Scanned;
  readonly onAnyway: (jobId: string) => void;
}) {
  const here = floor.names.machine(machineId);
  if (found.found === "none")
    return (
      <ChoiceSheet title="No piece of the plan has this code" onClose={onClose}>
        <p>It may be sewn already, held back, or waiting for something. Its page tells.</p>
        <Choice onChoose={onClose}>Go on as planned</Choice>
      </ChoiceSheet>
    );
  const name = upper(shortName(found.job));
  const run = floor.floor.plan.runs.find((one) => one.job === found.job.jobId);
  const at = run ? floor.names.clock(floor.floor.startsAtMs + run.stretches[0]!.start * 1000) : "";
  if (found.found === "elsewhere")
    return (
      <ChoiceSheet title={`${name} is not planned on ${here}`} onClose={onClose}>
        <p>
          {found.machineId
            ? `It is planned on ${floor.names.machine(found.machineId)}, ${at}. Its needles are laid out there.`
            : "The plan has no machine for it."}
        </p>
        <div className="choice-row">
          {found.machineId && (
            <Link className="choice" to="/station/$id" params={{ id: found.machineId }} onClick={onClose}>
              Open {floor.names.machine(found.machineId)}
            </Link>
          )}
          <Link className="choice" to="/pieces/$id" params={{ id: found.job.pieceId }}>
            The piece’s page
          </Link>
          <Choice onChoose={onClose}>Go on as planned</Choice>
        </div>
      </ChoiceSheet>
    );
  return (
    <ChoiceSheet title={`${name} is not next on ${here}`} onClose={onClose}>
      <p>It is planned for {at}.</p>
      <div className="choice-row">
        <Choice
          onChoose={() => {
            onAnyway(found.job.jobId);
            onClose();
          }}
        >
          Sew it now anyway
        </Choice>
        <Choice tone="go" onChoose={onClose}>
          Go on as planned
        </Choice>
      </div>
    </ChoiceSheet>
  );
}
