import type { HandStep } from "#core/floor";
import { localTime } from "#core/shop";
import { ThreadTwist } from "../parts/thread-chip";
import { dateWords, lengthWords } from "../today/day";
import { isReady, stepActs, SOON_MS } from "./hand-day";
import { handWords, waitWords } from "./sentences";
import type { Floor } from "./use-floor";

/** Rows shown of a list; the rest is counted. */
const SHOWN = 12;

export function Needles({
  floor,
  step,
}: {
  readonly floor: Floor;
  readonly step: HandStep & { do: "thread" };
}) {
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

export function Instructions({ floor, choreId }: { readonly floor: Floor; readonly choreId: string }) {
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

/** Pieces that wait for any hands, each told with one tap. */
export function Pieces({
  floor,
  title,
  act,
  pieces,
  onAct,
}: {
  readonly floor: Floor;
  readonly title: string;
  readonly act: string;
  readonly pieces: readonly {
    readonly pieceId: string;
    readonly title: string;
    readonly product: string;
    readonly customer: string;
    readonly code: string;
    readonly shipBy: string;
    /** Whose it is by the plan, and when. */
    readonly whose?: string;
  }[];
  readonly onAct: (pieceId: string) => void;
}) {
  const today = localTime(floor.timeZone, floor.floor.nowMs).date;
  if (pieces.length === 0) return null;
  return (
    <section className="hands-list" aria-label={title}>
      <h2>
        {title} <span className="quiet">{pieces.length}</span>
      </h2>
      <ol>
        {pieces.slice(0, SHOWN).map((piece) => (
          <li key={piece.pieceId}>
            <span>
              <b>{piece.title}</b>
              <span className="quiet">
                {[
                  piece.product === piece.title ? "" : piece.product,
                  piece.customer || piece.code,
                  `ships ${piece.shipBy === today ? "today" : dateWords(piece.shipBy)}`,
                  piece.whose ?? "",
                ]
                  .filter((words) => words !== "")
                  .join(" · ")}
              </span>
            </span>
            <button
              type="button"
              className="floor-small hands-packed"
              aria-label={`${piece.title}, ${piece.code}: ${act}`}
              onClick={() => onAct(piece.pieceId)}
            >
              {act}
            </button>
          </li>
        ))}
      </ol>
      {pieces.length > SHOWN && <p className="quiet">and {pieces.length - SHOWN} more</p>}
    </section>
  );
}

/** What comes after, with its planned time; what waits for a machine is told so. */
export function Following({ floor, steps }: { readonly floor: Floor; readonly steps: readonly HandStep[] }) {
  if (steps.length === 0) return null;
  return (
    <section className="hands-list" aria-label="After that">
      <h2>After that</h2>
      <ol>
        {steps.slice(0, SHOWN).map((step, at) => {
          const ready = isReady(step, floor);
          const [act] = stepActs(step, floor);
          const soon = step.planned.startMs - floor.floor.nowMs < SOON_MS;
          const canTell = act && ((ready && (soon || step.do === "finish")) || step.do === "unload");
          return (
            <li
              key={`${step.do} ${"jobId" in step ? step.jobId : step.choreId} ${at}`}
              className={ready ? "" : "hands-waits"}
            >
              <span className="hands-at">{floor.names.clock(step.planned.startMs)}</span>
              <span>
                {handWords(step, floor.names).sentence}
                {!ready && <span className="quiet">{waitWords(step, floor.names)}</span>}
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
