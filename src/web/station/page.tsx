import { Button } from "@mantine/core";
import { Link, useParams } from "@tanstack/react-router";
import { useEffect, useMemo, useState } from "react";
import type { shapes } from "#contract";
import { type NeedleChange, threadOn } from "#core/floor";
import { addressOf } from "../client";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { clockOf } from "../today/day";
import { threadAct } from "./acts";
import { NeedleQuestion } from "./needle-question";
import { type BarNeedle, NeedleBar } from "./needles";
import { useHere, WhoIsHere } from "./here";
import { Around, PieceSheet, TopHem } from "./piece-sheet";
import {
  AwayQuestion,
  DownQuestion,
  LaterQuestion,
  ScanQuestion,
  SpoiledQuestion,
  StopQuestion,
  ThreadOutQuestion,
} from "./questions";
import { buttonsOf, type Question, saidOf } from "./station-buttons";
import { scanned, type StationDay, stationDay } from "./station-day";
import { lastTold, LatelySheet, ToldBar } from "./told-bar";
import { useOutbox } from "./telling";
import { type Floor, useFloor } from "./use-floor";
import { useKeys } from "./use-keys";
import { useWake } from "./use-wake";
import "./station.css";

/** One tablet at one machine: the next thing to do now, and the buttons to say what happened. */
export function StationPage() {
  const { id = "" } = useParams({ strict: false });
  const [here, setHere] = useHere(id);
  const answered = useFloor(here);
  useWake();
  if (answered.state === "reading") return <Aside heading="Station"><Waiting words="Reading the plan" /></Aside>; // prettier-ignore
  if (answered.state === "failed")
    return (
      <Aside heading="Station">
        <TroubleSheet trouble={answered.trouble} onAgain={answered.again} />
      </Aside>
    );
  const { floor } = answered;
  if (!floor.answer.machines.some((machine) => machine.id === id)) return <UnknownMachine floor={floor} />;
  if (!floor.view) return <NoPlan name={floor.names.machine(id)} />;
  return <Station key={id} floor={floor} machineId={id} onHere={setHere} />;
}

export const Aside = ({
  heading,
  children,
}: {
  readonly heading: string;
  readonly children: React.ReactNode;
}) => (
  <>
    <h1 className="visually-hidden">{heading}</h1>
    {children}
  </>
);

function UnknownMachine({ floor }: { readonly floor: Floor }) {
  return (
    <Aside heading="Station">
      <Empty title="There is no such machine">
        <p>It may have been put into the archive. These have a station:</p>
        <div className="station-list">
          {floor.answer.machines.map((machine) => (
            <Link key={machine.id} className="choice" to="/station/$id" params={{ id: machine.id }}>
              {machine.name}
            </Link>
          ))}
        </div>
      </Empty>
    </Aside>
  );
}

export const NoPlan = ({ name }: { readonly name: string }) => (
  <Aside heading={name}>
    <Empty
      title="There is no plan yet"
      action={
        <Button component={Link} to="/" size="lg">
          Go to Today
        </Button>
      }
    >
      <p>
        This page tells what to do next at {name}, with which threads on which needles, once the day is
        planned. It follows by itself.
      </p>
    </Empty>
  </Aside>
);

function Station({
  floor,
  machineId,
  onHere,
}: {
  readonly floor: Floor;
  readonly machineId: string;
  readonly onHere: (personId: string | null) => void;
}) {
  const [question, setQuestion] = useState<Question | null>(null);
  const [pulledId, setPulled] = useState<string | null>(null);
  /** The piece that is begun before its time. */
  const [earlyId, setEarly] = useState<string | null>(null);
  const day = useMemo(() => stationDay(floor, machineId, pulledId), [floor, machineId, pulledId]);
  const { told } = useOutbox();
  const name = floor.names.machine(machineId);
  useEffect(() => void (document.title = name), [name]);
  usePictures(day, floor);
  const about = day.job?.jobId ?? day.chore?.choreId ?? null;
  const isEarly = day.plannedAtMs !== null && about !== earlyId;
  const said = saidOf(day, isEarly, machineId, floor);
  const buttons = buttonsOf({ day, isEarly, machineId, floor, ask: (ask) => setQuestion({ ask }), begin: () => setEarly(about) }); // prettier-ignore
  const close = () => setQuestion(null);
  const undo = lastTold(told, floor.floor.nowMs);
  const [main, ...others] = buttons;
  useKeys({
    on: question === null,
    onEnter: () => main?.press(),
    letters: {
      ...Object.fromEntries(others.map((one) => [one.key.toLowerCase(), one.press])),
      u: () => undo && floor.takeBack(undo.event.id, `Taken back: ${undo.words}`),
    },
    onCode: (piece) => {
      const found = scanned(floor, machineId, piece);
      if (found.found === "now") setEarly(found.job.jobId);
      setQuestion(found.found === "now" ? null : { ask: "scan", found });
    },
  });
  const threadsOn = floor.answer.machines.find((one) => one.id === machineId)?.needles.length ?? 0;
  const threading = day.step.do === "thread" && !isEarly ? day.step.needles : [];
  const isOver = day.step.do === "sewing" && day.step.leftS <= 0;
  const standing = isEarly ? "idle" : isOver ? "over" : day.step.do;
  return (
    <div className={`station station-${standing}`}>
      <TopHem floor={floor} day={day} />
      <header className="station-head">
        <span className="station-name">{name}</span>
        <WhoIsHere floor={floor} onChoose={onHere} />
        <ToldBar floor={floor} onLately={() => setQuestion({ ask: "lately" })} />
        <span className="station-clock">{clockOf(floor.timeZone, floor.floor.nowMs)}</span>
      </header>
      <div className="station-say" aria-live="polite">
        <h1 style={{ "--signs": said.sentence.length } as React.CSSProperties}>{said.sentence}</h1>
        {said.more && <p>{said.more}</p>}
      </div>
      <Body
        floor={floor}
        day={day}
        machineId={machineId}
        threading={threading}
        onThreaded={(change) => {
          const act = threadAct([change], machineId, (id) => floor.threads.get(id)?.code ?? id);
          floor.told(act.draft, act.told);
        }}
      />
      <div className="station-foot">
        {said.cautions.length > 0 && (
          <p className="station-caution">
            <span className="visually-hidden">Mind: </span>
            {said.cautions.join(" ")}
          </p>
        )}
        <div className="station-acts">
          {buttons.map((one, at) => (
            <button
              key={at === 0 ? "main" : one.words}
              type="button"
              className={`act act-${at === 0 ? "main" : (one.tone ?? "plain")}`}
              onClick={one.press}
            >
              {one.words}
              <kbd aria-hidden>{one.key}</kbd>
            </button>
          ))}
        </div>
        <div className="station-more">
          {day.job && (
            <Link
              className="floor-small station-place"
              to="/place/$id"
              params={{ id: day.job.jobId }}
              search={(isBegun(day.step.do) ? { again: "yes" } : {}) as never}
            >
              {isBegun(day.step.do) ? "Back onto it" : "Place it"}
            </Link>
          )}
          {day.job && day.step.do !== "mend" && (
            <button type="button" className="floor-small" onClick={() => setQuestion({ ask: "spoiled" })}>
              Spoiled …
            </button>
          )}
          {threadsOn > 0 && (
            <button type="button" className="floor-small" onClick={() => setQuestion({ ask: "thread" })}>
              Thread used up …
            </button>
          )}
          {day.step.do !== "down" && (
            <button type="button" className="floor-small" onClick={() => setQuestion({ ask: "down" })}>
              Machine down …
            </button>
          )}
          <button type="button" className="floor-small" onClick={() => setQuestion({ ask: "away" })}>
            Someone away …
          </button>
          <button type="button" className="floor-small" onClick={() => setQuestion({ ask: "lately" })}>
            Told lately …
          </button>
        </div>
      </div>
      <Asked
        question={question}
        floor={floor}
        day={day}
        machineId={machineId}
        onClose={close}
        onAnyway={setPulled}
      />
    </div>
  );
}

/** Once a run sews it is not placed any more, but found again. */
const isBegun = (step: StationDay["step"]["do"]): boolean => step === "sewing" || step === "mend";

function Body({
  floor,
  day,
  machineId,
  threading,
  onThreaded,
}: {
  readonly floor: Floor;
  readonly day: StationDay;
  readonly machineId: string;
  readonly threading: readonly NeedleChange[];
  readonly onThreaded: (change: NeedleChange) => void;
}) {
  const machine = floor.answer.machines.find((one) => one.id === machineId)!;
  const needles = useMemo((): BarNeedle[] => {
    const run = floor.floor.plan.runs.find((one) => one.job === day.job?.jobId);
    const changes = new Map(threading.map((one) => [one.needle, one]));
    return machine.needles.map(({ number }) => {
      const change = changes.get(number) ?? null;
      const face = (id: string | null) => (id === null ? null : (floor.threads.get(id) ?? null));
      return {
        number,
        change,
        thread: face(threadOn(floor.floor, machineId, number)),
        to: change && face(change.to),
        used: run?.needles.includes(number) ?? true,
      };
    });
  }, [floor, day, machine, machineId, threading]);
  const large = threading.length > 0;
  return (
    <div className={`station-body ${large ? "body-thread" : "body-piece"}`}>
      {needles.length > 0 && (
        <NeedleBar
          needles={needles}
          large={large}
          label={`Needles of ${machine.name}`}
          onThreaded={large ? onThreaded : undefined}
        />
      )}
      {day.job && <PieceSheet floor={floor} job={day.job} machineId={machineId} brief={large} />}
      {day.chore && <CareSheet chore={day.chore} />}
      <Around floor={floor} day={day} hoops={machine.needles.length > 0} />
    </div>
  );
}

function CareSheet({ chore }: { readonly chore: shapes.PlannedChore }) {
  if (chore.instructions.length === 0) return null;
  return (
    <section className="piece piece-care" aria-label="How">
      <ol>
        {chore.instructions.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ol>
    </section>
  );
}

/** Whether something told belongs to this machine: told of it, or of a piece that is planned on it. */
const isOf = (
  { floor, jobs }: Floor,
  machineId: string,
  event: { readonly machineId: string | null; readonly pieceId: string | null },
): boolean =>
  event.machineId === machineId ||
  (event.machineId === null &&
    floor.plan.runs.some((run) => run.machine === machineId && jobs.get(run.job)?.pieceId === event.pieceId));

/** Fetches the pictures of the next pieces ahead, so that they are there when the network is not. */
function usePictures(day: StationDay, floor: Floor): void {
  const coming = [day.next?.job, day.hooping?.job].flatMap((job) =>
    job?.designVersionId
      ? [
          addressOf(
            "designPicture",
            { id: job.designVersionId },
            { size: "full", threads: job.parts.map((part) => part.threadId).join(",") },
          ),
        ]
      : [],
  );
  const key = coming.join(" ");
  const heard = floor.heardAtMs > 0;
  useEffect(() => {
    if (heard) for (const address of key.split(" ")) if (address) new Image().src = address;
  }, [key, heard]);
}

function Asked({
  question,
  floor,
  day,
  machineId,
  onClose,
  onAnyway,
}: {
  readonly question: Question | null;
  readonly floor: Floor;
  readonly day: StationDay;
  readonly machineId: string;
  readonly onClose: () => void;
  readonly onAnyway: (jobId: string) => void;
}) {
  if (question === null) return null;
  const of = { floor, machineId, onClose };
  switch (question.ask) {
    case "stop":
      return day.job && <StopQuestion {...of} job={day.job} />;
    case "spoiled":
      return day.job && <SpoiledQuestion {...of} job={day.job} />;
    case "later":
      return day.job && <LaterQuestion {...of} job={day.job} />;
    case "down":
      return <DownQuestion {...of} />;
    case "thread":
      return <ThreadOutQuestion {...of} job={day.job} />;
    case "away":
      return <AwayQuestion floor={floor} onClose={onClose} />;
    case "lately":
      return <LatelySheet floor={floor} mine={(event) => isOf(floor, machineId, event)} onClose={onClose} />;
    case "needle": {
      const number = day.step.do === "mend" ? day.step.needle : (day.chore?.needle ?? null);
      const known = floor.answer.machines
        .find((one) => one.id === machineId)
        ?.needles.find((one) => one.number === number);
      if (!known) return null;
      const why = day.step.do === "mend" && day.step.why === "needle" ? "struck" : "worn";
      return (
        <NeedleQuestion {...{ machineId, known, why, onClose }} needle={known.number} onTell={floor.told} />
      );
    }
    case "scan":
      return <ScanQuestion {...of} found={question.found} onAnyway={onAnyway} />;
  }
}
