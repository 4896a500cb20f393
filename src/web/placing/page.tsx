import { Link, useParams } from "@tanstack/react-router";
import { useEffect } from "react";
import { useAnswer } from "../asking";
import { useListAddress } from "../parts/list-address";
import { TroubleSheet, Waiting } from "../parts/states";
import { useHere } from "../station/here";
import { AgainStep } from "./again-step";
import { AgainTape } from "./again-tape";
import { AnswerStep } from "./answer-step";
import { HoopStep } from "./hoop-step";
import type { Known } from "./marks";
import { PhotoStep } from "./photo-step";
import { SecondStep } from "./second-step";
import { TouchStep } from "./touch-step";
import { type Place, type Step, usePlace } from "./use-place";
import { UsedStep } from "./used-step";
import "./place.css";

/** Placing one run: from a photo (or a tape measure) to what its machine is given. */
export function PlacePage() {
  const { id = "" } = useParams({ strict: false });
  const known = useAnswer("placing", "knownForPlacing", { params: { id } });
  const again = useListAddress().word("again") !== "";
  useEffect(() => {
    document.title = known.data ? `Place ${known.data.job.pieceCode}` : "Place a piece";
  }, [known.data]);
  if (known.isPending) return <Aside><Waiting words="Reading the piece and its design" /></Aside>; // prettier-ignore
  if (known.isError)
    return (
      <Aside>
        <TroubleSheet trouble={known.error} onAgain={() => void known.refetch()} />
        <p>
          <Link to="/">Back to Today</Link>
        </p>
      </Aside>
    );
  if (known.data.machines.length === 0) return <NoMachine known={known.data} />;
  return <Placing key={`${id} ${again ? "again" : ""}`} known={known.data} again={again} />;
}

const Aside = ({ children }: { readonly children: React.ReactNode }) => (
  <div className="place">
    <h1 className="visually-hidden">Place a piece</h1>
    {children}
  </div>
);

function NoMachine({ known }: { readonly known: Known }) {
  return (
    <div className="state sheet">
      <h1>No machine takes this run</h1>
      <p>
        No machine of the studio takes {known.hoop ? `the hoop ${known.hoop.name}` : "this run"}. Say on its
        machine’s record which hoops it takes, and come back.
      </p>
      <Link to="/machines">Machines</Link>
    </div>
  );
}

const steps: readonly { readonly step: Step; readonly words: string }[] = [
  { step: "photo", words: "Photo" },
  { step: "hoop", words: "Hoop" },
  { step: "touch", words: "Cloth" },
  { step: "answer", words: "Place" },
];

function Placing({ known, again }: { readonly known: Known; readonly again: boolean }) {
  const place = usePlace(known, again);
  const [here] = useHere(place.machineId);
  const { setPerson } = place;
  const isPerson = known.people.some((person) => person.id === here);
  useEffect(() => setPerson(isPerson ? here : null), [here, isPerson, setPerson]);
  return (
    <article className="place">
      <Head known={known} place={place} again={again} />
      {place.step === "photo" && <PhotoStep place={place} />}
      {place.step === "hoop" && <HoopStep place={place} />}
      {place.step === "touch" &&
        (!again ? (
          <TouchStep place={place} />
        ) : place.way === "tape" ? (
          <AgainTape place={place} />
        ) : (
          <AgainStep place={place} />
        ))}
      {place.step === "answer" && <AnswerStep place={place} />}
      {place.step === "second" && <SecondStep place={place} />}
      {place.step === "used" && <UsedStep place={place} />}
    </article>
  );
}

function Head({
  known,
  place,
  again,
}: {
  readonly known: Known;
  readonly place: Place;
  readonly again: boolean;
}) {
  const own = place.way === "tape" ? steps.filter(({ step }) => step !== "hoop") : steps;
  // A second photo is a way round on the last step, not one of its own.
  const now = place.step === "second" ? "answer" : place.step;
  const at = own.findIndex(({ step }) => step === now);
  return (
    <header className="place-head">
      <p className="place-way">
        <Link to="/station/$id" params={{ id: place.machineId }}>
          ‹ {place.machine?.name ?? "Station"}
        </Link>
        <span className="quiet">
          {known.job.pieceCode} · {known.product} · {known.placement}
        </span>
      </p>
      <h1>
        {again ? "Back onto" : "Place"} {known.title}
      </h1>
      {at >= 0 && (
        <ol className="place-steps" aria-label="Steps">
          {own.map(({ step, words }, i) => (
            <li
              key={step}
              aria-current={i === at ? "step" : undefined}
              className={i < at ? "place-step-done" : ""}
            >
              {i < at ? (
                <button type="button" onClick={() => place.setStep(step)}>
                  {words}
                </button>
              ) : (
                words
              )}
            </li>
          ))}
        </ol>
      )}
    </header>
  );
}
