import { Link, useParams } from "@tanstack/react-router";
import { useEffect, useState } from "react";
import { handSteps, type HandStep, machineStep, onMachine } from "#core/floor";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { Hem } from "../parts/hem";
import { ThreadTwist } from "../parts/thread-chip";
import { clockOf, dateWords, lengthWords } from "../today/day";
import { localTime } from "#core/shop";
import { DesignImage } from "../pieces/run-sheet";
import { careAct, doneAct, threadAct } from "./acts";
import { ChoiceSheet } from "./choices";
import { Aside, NoPlan } from "./page";
import { AwayUntil, isAway, SpoiledQuestion } from "./questions";
import { handWords, type Said, shortName, waitWords } from "./sentences";
import { lastTold, LatelySheet, ToldBar } from "./told-bar";
import { useOutbox } from "./telling";
import { type Draft, type Floor, useFloor } from "./use-floor";
import { useKeys } from "./use-keys";
import { useWake } from "./use-wake";
import "./station.css";
import "./hands.css";

/** One person's next thing, wherever it is: hooping, threading, finishing, sewing, packing. */
export function HandsPage() {
  const { id = "" } = useParams({ strict: false });
  const answered = useFloor(id);
  useWake();
  if (answered.state === "reading") return <Aside heading="Hands"><Waiting words="Reading the plan" /></Aside>; // prettier-ignore
  if (answered.state === "failed")
    return (
      <Aside heading="Hands">
        <TroubleSheet trouble={answered.trouble} onAgain={answered.again} />
      </Aside>
    );
  const { floor } = answered;
  const person = floor.answer.people.find((one) => one.id === id);
  if (!person) return <UnknownPerson floor={floor} />;
  if (!floor.view) return <NoPlan name={person.name} />;
  return <Hands key={id} floor={floor} person={person} />;
}

function UnknownPerson({ floor }: { readonly floor: Floor }) {
  return (
    <Aside heading="Hands">
      <Empty title="There is no such person">
        <p>They may have left the studio. These have a page of their own:</p>
        <div className="station-list">
          {floor.answer.people.map((person) => (
            <Link key={person.id} className="choice" to="/hands/$id" params={{ id: person.id }}>
              {person.name}
            </Link>
          ))}
        </div>
      </Empty>
    </Aside>
  );
}

interface HandAct {
  readonly words: string;
  readonly draft: Draft;
  readonly told: string;
}

const upper = (words: string): string => words.charAt(0).toLocaleUpperCase() + words.slice(1);

/** What can be told of a step; the first is the large button. */
function actsOf(step: HandStep, floor: Floor): HandAct[] {
  if (step.do === "chore") {
    const chore = floor.names.chore(step.choreId);
    const act = chore && careAct(chore, step.machineId);
    return act ? [act] : [];
  }
  if (step.do === "thread")
    return [threadAct(step.needles, step.machineId, (id) => floor.threads.get(id)?.code ?? id)];
  const job = floor.jobs.get(step.jobId);
  if (!job) return [];
  const of = { pieceId: job.pieceId, jobId: job.jobId };
  const name = upper(shortName(job));
  const run = floor.floor.plan.runs.find((one) => one.job === job.jobId);
  switch (step.do) {
    case "hoop":
      return [
        {
          words: "Hooped",
          draft: { kind: "hooped", ...of, hoop: run?.hoop ?? null },
          told: `${name} hooped`,
        },
      ];
    case "load":
      return step.machineId === null
        ? []
        : [{ words: "Loaded", draft: { kind: "loaded", ...of, machineId: step.machineId }, told: `${name} loaded` }]; // prettier-ignore
    case "unload":
      return step.machineId === null ? [] : [{ ...doneAct(step.machineId, job), words: "Taken off" }];
    case "finish":
      return [{ words: "Finished", draft: { kind: "finished", ...of }, told: `${name} finished` }];
  }
}

const machineOf = ({ floor }: Floor, jobId: string): string | null =>
  floor.plan.runs.find((one) => one.job === jobId)?.machine ?? null;

const isHooped = (floor: Floor, jobId: string): boolean =>
  floor.floor.plan.runs.find((one) => one.job === jobId)?.hoop === null ||
  Boolean(floor.floor.runs.get(jobId)?.hoopedAtMs);

/** What is ready to be done: a piece whose time on the machine is over can be taken off. */
function isReady(step: HandStep, floor: Floor): boolean {
  if (step.do === "load" && !isHooped(floor, step.jobId)) return false;
  if (step.do !== "unload" || step.machineId === null) return step.waitsFor === null;
  const at = machineStep(floor.floor, step.machineId, floor.colours);
  return at.do === "sewing" && at.jobId === step.jobId && at.nextStop === null && at.leftS <= 0;
}

/** A piece that lies on a machine and is not started yet: whoever loaded it starts it. */
function loadedStart(floor: Floor): (HandAct & { jobId: string }) | null {
  for (const machine of floor.answer.machines) {
    const on = onMachine(floor.floor, machine.id);
    const job = on?.doing === "loaded" && on.jobId !== null ? floor.jobs.get(on.jobId) : undefined;
    const run = floor.floor.plan.runs.find((one) => one.job === job?.jobId);
    const loader = floor.floor.plan.tasks.find((task) => task.do === "load" && task.job === job?.jobId);
    if (!job || !run || loader?.hand !== floor.personId) continue;
    if (machineStep(floor.floor, machine.id, floor.colours).do !== "start") continue;
    return {
      jobId: job.jobId,
      words: "Start",
      draft: {
        kind: "started",
        pieceId: job.pieceId,
        jobId: job.jobId,
        machineId: machine.id,
        needles: [...run.needles],
      },
      told: `${upper(shortName(job))} started on ${machine.name}`,
    };
  }
  return null;
}

/** Work planned further off than this is offered, not asked for. */
const EARLY_MS = 30 * 60_000;
/** What may be told ahead of its turn lies within an hour. */
const SOON_MS = 60 * 60_000;
const SHOWN = 12;

function Hands({
  floor,
  person,
}: {
  readonly floor: Floor;
  readonly person: Floor["answer"]["people"][number];
}) {
  const [question, setQuestion] = useState<"away" | "spoiled" | "lately" | null>(null);
  const [early, setEarly] = useState(false);
  const { told } = useOutbox();
  useEffect(() => void (document.title = person.name), [person.name]);
  const away = isAway(floor, person.id);
  const steps = handSteps(floor.floor, person.id);
  const ready = steps.find((step) => isReady(step, floor));
  const start = loadedStart(floor);
  const isFar = ready !== undefined && ready.planned.startMs - floor.floor.nowMs > EARLY_MS && !early;
  const now = away || isFar || start ? undefined : ready;
  const said = away
    ? awaySaid(floor, person.name, away)
    : start
      ? startSaid(floor, start)
      : saidOf(floor, ready, isFar, steps);
  const acts: readonly HandAct[] = away
    ? [
        {
          words: "I’m back",
          draft: { kind: "person-back", awayId: person.id },
          told: `${person.name} is back`,
        },
      ]
    : start
      ? [start]
      : now
        ? actsOf(now, floor)
        : [];
  const [main] = acts;
  const press = () => (main ? floor.told(main.draft, main.told) : isFar && setEarly(true));
  const undo = lastTold(told, floor.floor.nowMs);
  useKeys({
    on: question === null,
    onEnter: press,
    letters: { u: () => undo && floor.takeBack(undo.event.id, `Taken back: ${undo.words}`) },
    onCode: () => undefined,
  });
  const jobId = start ? start.jobId : now && "jobId" in now ? now.jobId : null;
  const job = jobId === null ? null : (floor.jobs.get(jobId) ?? null);
  const following = steps.filter((step) => step !== now);
  return (
    <div className={`hands${away ? " hands-away" : ""}`}>
      <header className="station-head">
        <span className="station-name">{person.name}</span>
        <ToldBar floor={floor} onLately={() => setQuestion("lately")} />
        <span className="station-clock">{clockOf(floor.timeZone, floor.floor.nowMs)}</span>
      </header>
      <section className="hands-now" aria-label="Now">
        {job && (
          <span className="hands-hem">
            <Hem
              heightPx={12}
              parts={job.parts.map((part) => ({
                thread: floor.threads.get(part.threadId) ?? null,
                stitches: part.stitches,
              }))}
            />
          </span>
        )}
        <div className="hands-say" aria-live="polite">
          <h1>{said.sentence}</h1>
          {said.more && <p>{said.more}</p>}
        </div>
        {now?.do === "thread" && <Needles floor={floor} step={now} />}
        {job?.designVersionId && now?.do !== "thread" && (
          <div className="hands-picture">
            <DesignImage
              versionId={job.designVersionId}
              threadIds={job.parts.map((part) => part.threadId)}
              name={job.designName}
              size="full"
            />
          </div>
        )}
        {now?.do === "chore" && <Instructions floor={floor} choreId={now.choreId} />}
        {said.cautions.length > 0 && <p className="station-caution">{said.cautions.join(" ")}</p>}
        {(main || isFar) && (
          <button type="button" className="act act-main hands-main" onClick={press}>
            {main?.words ?? "Begin it now"}
            <kbd aria-hidden>Enter</kbd>
          </button>
        )}
        <div className="station-more">
          {job && !away && (
            <button type="button" className="floor-small" onClick={() => setQuestion("spoiled")}>
              Spoiled …
            </button>
          )}
          {!away && (
            <button type="button" className="floor-small" onClick={() => setQuestion("away")}>
              I’m away …
            </button>
          )}
          <button type="button" className="floor-small" onClick={() => setQuestion("lately")}>
            Told lately …
          </button>
        </div>
      </section>
      <Packing floor={floor} />
      <Following floor={floor} steps={following} />
      {question === "away" && (
        <ChoiceSheet title="Away until when?" onClose={() => setQuestion(null)}>
          <AwayUntil floor={floor} who={person} onTold={() => setQuestion(null)} />
        </ChoiceSheet>
      )}
      {question === "spoiled" && job && (
        <SpoiledQuestion
          floor={floor}
          machineId={machineOf(floor, job.jobId)}
          job={job}
          onClose={() => setQuestion(null)}
        />
      )}
      {question === "lately" && (
        <LatelySheet
          floor={floor}
          mine={(event) => event.personId === person.id}
          onClose={() => setQuestion(null)}
        />
      )}
    </div>
  );
}

const awaySaid = (floor: Floor, name: string, away: { readonly untilMs: number }): Said => ({
  sentence: `${name} is away until ${floor.names.clock(away.untilMs)}`,
  more: "The plan goes on with the other hands.",
  cautions: [],
});

function startSaid(floor: Floor, start: { readonly jobId: string }): Said {
  const job = floor.jobs.get(start.jobId);
  const machineId = machineOf(floor, start.jobId);
  return {
    sentence: `Start ${shortName(job)}${machineId ? ` on ${floor.names.machine(machineId)}` : ""}`,
    more: "It is loaded.",
    cautions: ["Hands clear of the needles before you start."],
  };
}

function saidOf(floor: Floor, ready: HandStep | undefined, isFar: boolean, steps: readonly HandStep[]): Said {
  if (!ready) {
    const waits = steps[0] && waitWords(steps[0], floor.names);
    return {
      sentence: steps.length === 0 ? "Nothing is planned for you" : "Nothing to do just now",
      more: waits ? `The next thing comes ${waits}.` : "",
      cautions: [],
    };
  }
  const said = handWords(ready, floor.names);
  if (!isFar) return said;
  return {
    sentence: `Nothing to do until ${floor.names.clock(ready.planned.startMs)}`,
    more: `Then: ${said.sentence.charAt(0).toLocaleLowerCase()}${said.sentence.slice(1)}`,
    cautions: [],
  };
}

function Needles({ floor, step }: { readonly floor: Floor; readonly step: HandStep & { do: "thread" } }) {
  return (
    <ol className="hands-needles" aria-label="Needles to thread">
      {step.needles.map(({ needle, from, to }) => {
        const [off, on] = [from === null ? null : floor.threads.get(from), floor.threads.get(to)];
        return (
          <li key={needle}>
            <b>{needle}</b>
            {on && <ThreadTwist rgb={on.rgb} />}
            <span>
              {on ? `${on.code} ${on.name}` : to}
              <span className="quiet"> {off ? `off: ${off.code} ${off.name}` : "was empty"}</span>
            </span>
          </li>
        );
      })}
    </ol>
  );
}

function Instructions({ floor, choreId }: { readonly floor: Floor; readonly choreId: string }) {
  const rest = floor.names.chore(choreId)?.instructions.slice(1) ?? [];
  if (rest.length === 0) return null;
  return (
    <ol className="hands-how">
      {rest.map((one) => (
        <li key={one}>{one}</li>
      ))}
    </ol>
  );
}

function Packing({ floor }: { readonly floor: Floor }) {
  const today = localTime(floor.timeZone, floor.floor.nowMs).date;
  if (floor.toPack.length === 0) return null;
  return (
    <section className="hands-list" aria-label="To pack">
      <h2>To pack</h2>
      <ol>
        {floor.toPack.slice(0, 30).map((piece) => (
          <li key={piece.pieceId}>
            <span>
              <b>{piece.title}</b>
              <span className="quiet">
                {piece.product} · {piece.customer || piece.code} · ships{" "}
                {piece.shipBy === today ? "today" : dateWords(piece.shipBy)}
              </span>
            </span>
            <button
              type="button"
              className="floor-small hands-packed"
              aria-label={`${piece.title}, ${piece.product}: packed`}
              onClick={() => floor.told({ kind: "packed", pieceId: piece.pieceId }, `${piece.title} packed`)}
            >
              Packed
            </button>
          </li>
        ))}
      </ol>
    </section>
  );
}

/** What comes after, with its planned time; what waits for a machine is told so. */
function Following({ floor, steps }: { readonly floor: Floor; readonly steps: readonly HandStep[] }) {
  if (steps.length === 0) return null;
  return (
    <section className="hands-list" aria-label="After that">
      <h2>After that</h2>
      <ol>
        {steps.slice(0, SHOWN).map((step, at) => {
          const ready = isReady(step, floor);
          const [act] = actsOf(step, floor);
          const soon = step.planned.startMs - floor.floor.nowMs < SOON_MS;
          const canTell = act && ((ready && soon) || step.do === "unload");
          return (
            <li
              key={`${step.do} ${"jobId" in step ? step.jobId : step.choreId} ${at}`}
              className={ready ? "" : "hands-waits"}
            >
              <span className="hands-at">{floor.names.clock(step.planned.startMs)}</span>
              <span>
                {handWords(step, floor.names).sentence}
                {!ready && (
                  <span className="quiet">
                    {waitWords(step, floor.names) || (step.do === "load" ? "when it is hooped" : "")}
                  </span>
                )}
              </span>
              {canTell && (
                <button
                  type="button"
                  className="floor-small"
                  aria-label={`${handWords(step, floor.names).sentence}: ${act.words}`}
                  onClick={() => floor.told(act.draft, act.told)}
                >
                  {act.words}
                </button>
              )}
            </li>
          );
        })}
      </ol>
      {steps.length > SHOWN && (
        <p className="quiet">
          and {steps.length - SHOWN} more,{" "}
          {lengthWords(
            steps
              .slice(SHOWN)
              .reduce((sum, one) => sum + (one.planned.endMs - one.planned.startMs) / 1000, 0),
          )}{" "}
          of work
        </p>
      )}
    </section>
  );
}
