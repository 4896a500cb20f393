import { Modal } from "@mantine/core";
import { clockOf } from "../today/day";
import { refusedOf, type Told, waitingOf } from "./outbox";
import { putAway, useOutbox } from "./telling";
import type { Floor } from "./use-floor";
import "./told-bar.css";

/** So long a tap is offered for taking back right at the top: ms. */
const UNDO_MS = 60_000;

/** The newest thing told here that still stands, within its minute. */
export function lastTold(told: readonly Told[], nowMs: number): Told | null {
  const takenBack = new Set(
    told.flatMap(({ event }) => (event.kind === "taken-back" ? [event.eventId] : [])),
  );
  const standing = told.filter(
    ({ event, state }) => event.kind !== "taken-back" && state !== "refused" && !takenBack.has(event.id),
  );
  const last = standing.at(-1);
  return last && nowMs - last.event.atMs < UNDO_MS ? last : null;
}

/** Not heard of the program for so long, what is shown may be old: ms. */
const OLD_MS = 75_000;

/** What was just told, with its undo; and what has not reached the program, which is never called saved. */
export function ToldBar({ floor, onLately }: { readonly floor: Floor; readonly onLately: () => void }) {
  const { told, reached } = useOutbox();
  const waiting = waitingOf(told).length;
  const refused = refusedOf(told).length;
  const last = lastTold(told, floor.floor.nowMs);
  return (
    <div className="told" role="status" aria-live="polite">
      {floor.floor.nowMs - floor.heardAtMs > OLD_MS && (
        <span className="told-old">no answer since {clockOf(floor.timeZone, floor.heardAtMs)}</span>
      )}
      {waiting > 0 && (
        <button type="button" className="told-pill told-waiting" onClick={onLately}>
          waiting ({waiting})
          {!reached && (
            <span className="visually-hidden">: the program does not answer, it is sent later</span>
          )}
        </button>
      )}
      {refused > 0 && (
        <button type="button" className="told-pill told-refused" onClick={onLately}>
          {refused} not taken …
        </button>
      )}
      {last && (
        <span className={`told-last${last.state === "kept" ? " told-kept" : ""}`}>
          <span className="told-words">{last.words}</span>
          <button
            type="button"
            className="told-undo"
            onClick={() => floor.takeBack(last.event.id, `Taken back: ${last.words}`)}
          >
            Undo <kbd aria-hidden>U</kbd>
          </button>
        </span>
      )}
    </div>
  );
}

/** What was told lately, each with its undo: what waits first, then what was refused, then what the program keeps. */
export function LatelySheet({
  floor,
  mine,
  onClose,
}: {
  readonly floor: Floor;
  /** Whether an event the program keeps belongs here. */
  readonly mine: (event: Floor["answer"]["lately"][number]) => boolean;
  readonly onClose: () => void;
}) {
  const { told, reached } = useOutbox();
  const waiting = waitingOf(told);
  const refused = refusedOf(told);
  const kept = floor.answer.lately.filter((one) => mine(one) && !one.kind.startsWith("piece-")).slice(0, 15);
  const takenBack = new Set(
    told.flatMap(({ event }) => (event.kind === "taken-back" ? [event.eventId] : [])),
  );
  const at = (ms: number) => <span className="quiet lately-at">{clockOf(floor.timeZone, ms)}</span>;
  return (
    <Modal
      opened
      onClose={onClose}
      title="Told lately"
      classNames={{ title: "choice-title" }}
      size="lg"
      centered
      closeButtonProps={{ size: "xl", "aria-label": "Close" }}
    >
      {waiting.length > 0 && (
        <section className="lately">
          <h2>Waiting to be sent</h2>
          <p className="quiet">
            {reached
              ? "On its way to the shop’s computer."
              : "The shop’s computer does not answer. These are kept on this tablet with their times, and are sent once it does."}
          </p>
          <ol>
            {waiting.map(({ event, words }) => (
              <li key={event.id}>
                {at(event.atMs)} <span>{words}</span>
                {event.kind !== "taken-back" && !takenBack.has(event.id) && (
                  <button
                    type="button"
                    className="floor-small"
                    onClick={() => floor.takeBack(event.id, `Taken back: ${words}`)}
                  >
                    Take back
                  </button>
                )}
              </li>
            ))}
          </ol>
        </section>
      )}
      {refused.length > 0 && (
        <section className="lately">
          <h2>Not taken</h2>
          <ol>
            {refused.map(({ event, words, why }) => (
              <li key={event.id}>
                {at(event.atMs)}
                <span>
                  {words}
                  <span className="lately-why">{why}</span>
                </span>
                <button type="button" className="floor-small" onClick={() => putAway(event.id)}>
                  Put away
                </button>
              </li>
            ))}
          </ol>
        </section>
      )}
      <section className="lately">
        <h2>Kept</h2>
        {kept.length === 0 && <p className="quiet">Nothing was told here yet.</p>}
        <ol>
          {kept.map((one) => (
            <li key={one.id} className={one.takenBack || takenBack.has(one.id) ? "lately-back" : ""}>
              {at(one.atMs)} <span>{one.words}</span>
              {one.takenBack || takenBack.has(one.id) ? (
                <span className="quiet">taken back</span>
              ) : (
                <button
                  type="button"
                  className="floor-small"
                  onClick={() => floor.takeBack(one.id, `Taken back: ${one.words}`)}
                >
                  Take back
                </button>
              )}
            </li>
          ))}
        </ol>
      </section>
    </Modal>
  );
}
