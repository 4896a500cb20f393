import { useState } from "react";
import { Choice, ChoiceSheet } from "./choices";
import { isAway } from "./questions";
import type { Floor } from "./use-floor";
import "./here.css";

/**
 * Who stands at a station: chosen with one tap, kept on its tablet, told with everything until somebody else is chosen.
 * Nothing waits for it: with nobody chosen things are told all the same, and count as nobody's.
 */
const keyOf = (machineId: string): string => `spoolwright-here-${machineId}`;

function kept(machineId: string): string | null {
  try {
    return window.localStorage.getItem(keyOf(machineId));
  } catch {
    // A browser that keeps nothing: it is asked again after the page was closed.
    return null;
  }
}

function keep(machineId: string, personId: string | null): void {
  try {
    if (personId === null) window.localStorage.removeItem(keyOf(machineId));
    else window.localStorage.setItem(keyOf(machineId), personId);
  } catch {
    // Held in memory alone, then.
  }
}

/** Who was chosen at the machine's station last, and how to choose. */
export function useHere(machineId: string) {
  const [chosen, setChosen] = useState(() => ({ machineId, personId: kept(machineId) }));
  const here = chosen.machineId === machineId ? chosen.personId : kept(machineId);
  return [
    here,
    (personId: string | null) => {
      keep(machineId, personId);
      setChosen({ machineId, personId });
    },
  ] as const;
}

/** As many stand side by side in the head; more are chosen on a sheet. */
const SIDE_BY_SIDE = 4;

export function WhoIsHere({
  floor,
  onChoose,
}: {
  readonly floor: Floor;
  readonly onChoose: (personId: string | null) => void;
}) {
  const [isOpen, setOpen] = useState(false);
  const { people } = floor.answer;
  const here = floor.personId;
  if (people.length === 0) return null;
  if (people.length <= SIDE_BY_SIDE)
    return (
      <div className="here" role="group" aria-label="Who is here">
        {people.map(({ id, name }) => (
          <button
            key={id}
            type="button"
            className="here-person"
            aria-pressed={id === here}
            onClick={() => onChoose(id === here ? null : id)}
          >
            {name}
            {id === here && <span className="here-word"> is here</span>}
          </button>
        ))}
      </div>
    );
  const person = people.find((one) => one.id === here);
  const choose = (personId: string | null) => {
    onChoose(personId);
    setOpen(false);
  };
  return (
    <div className="here">
      <button
        type="button"
        className="here-person"
        aria-pressed={person !== undefined}
        onClick={() => setOpen(true)}
      >
        {person ? `${person.name} is here` : "Who is here?"}
      </button>
      {isOpen && (
        <ChoiceSheet title="Who is here?" onClose={() => setOpen(false)}>
          <div className="choice-row">
            {people.map(({ id, name }) => (
              <Choice key={id} tone={id === here ? "chosen" : "plain"} onChoose={() => choose(id)}>
                {name}
                {isAway(floor, id) && <small>away</small>}
              </Choice>
            ))}
          </div>
          <Choice onChoose={() => choose(null)}>Nobody is to be named</Choice>
        </ChoiceSheet>
      )}
    </div>
  );
}
