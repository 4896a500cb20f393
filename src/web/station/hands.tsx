import { Link, useParams } from "@tanstack/react-router";
import { useEffect, useState } from "react";
import { hoopKindOf } from "#core/floor";
import { Hem } from "../parts/hem";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { DesignImage } from "../pieces/run-sheet";
import { HabitLine } from "../placing/habit-line";
import { clockOf } from "../today/day";
import { ChoiceSheet } from "./choices";
import { handDay, machineOf, plannedFinish } from "./hand-day";
import { Following, Instructions, Needles, Pieces } from "./hand-lists";
import { Aside, NoPlan } from "./page";
import { AwayUntil, isAway, SpoiledQuestion } from "./questions";
import { useOutbox } from "./telling";
import { lastTold, LatelySheet, ToldBar } from "./told-bar";
import { type Floor, useFloor } from "./use-floor";
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

/** Sewn pieces but the one at hand, whoever does them: a tap tells it, and it is said whose they are by the plan. */
function toFinish(floor: Floor, personId: string, nowJobId: string | null) {
  return floor.toFinish
    .filter((piece) => piece.jobId !== nowJobId)
    .map((piece) => {
      const task = plannedFinish(floor, piece.jobId);
      const at = task && floor.names.clock(floor.floor.startsAtMs + task.start * 1000);
      const name = floor.answer.people.find((one) => one.id === task?.hand)?.name ?? "somebody";
      const whose = !task ? "" : task.hand === personId ? `yours at ${at}` : `${name} has it at ${at}`;
      return { ...piece, whose };
    });
}

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
  const { said, act, others, step, jobId, isFar, following } = handDay(floor, {
    person,
    away,
    begun: early ? "early" : "in time",
  });
  const finishing = toFinish(floor, person.id, jobId);
  const listed = new Set(finishing.map((piece) => piece.jobId));
  const press = () => (act ? floor.told(act.draft, act.told) : isFar && setEarly(true));
  const undo = lastTold(told, floor.floor.nowMs);
  useKeys({
    on: question === null,
    onEnter: press,
    letters: { u: () => undo && floor.takeBack(undo.event.id, `Taken back: ${undo.words}`) },
    onCode: () => undefined,
  });
  const job = jobId === null ? null : (floor.jobs.get(jobId) ?? null);
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
          {step?.do === "hoop" && job && (
            <HabitLine
              personId={person.id}
              hoopId={hoopKindOf(floor.floor, job.jobId)}
              hoopName={job.hoopName ?? "this hoop"}
            />
          )}
        </div>
        {step?.do === "thread" && <Needles floor={floor} step={step} />}
        {job?.designVersionId && step?.do !== "thread" && (
          <div className="hands-picture">
            <DesignImage
              versionId={job.designVersionId}
              threadIds={job.parts.map((part) => part.threadId)}
              name={job.designName}
              size="full"
            />
          </div>
        )}
        {step?.do === "chore" && <Instructions floor={floor} choreId={step.choreId} />}
        {said.cautions.length > 0 && <p className="station-caution">{said.cautions.join(" ")}</p>}
        {(act || isFar) && (
          <button type="button" className="act act-main hands-main" onClick={press}>
            {act?.words ?? "Begin it now"}
            <kbd aria-hidden>Enter</kbd>
          </button>
        )}
        <div className="station-more">
          {!isFar &&
            others.map((one) => (
              <button
                key={one.words}
                type="button"
                className="floor-small"
                onClick={() => floor.told(one.draft, one.told)}
              >
                {one.words}
              </button>
            ))}
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
      <div className="hands-lists">
        <Pieces
          floor={floor}
          title="To finish"
          act="Finished"
          pieces={finishing}
          onAct={(pieceId) => {
            const piece = finishing.find((one) => one.pieceId === pieceId)!;
            floor.told({ kind: "finished", pieceId, jobId: piece.jobId }, `${piece.title} finished`);
          }}
        />
        <Pieces
          floor={floor}
          title="To pack"
          act="Packed"
          pieces={floor.toPack}
          onAct={(pieceId) =>
            floor.told(
              { kind: "packed", pieceId },
              `${floor.toPack.find((one) => one.pieceId === pieceId)!.title} packed`,
            )
          }
        />
        <Following
          floor={floor}
          steps={following.filter((one) => !(one.do === "finish" && listed.has(one.jobId)))}
        />
      </div>
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
