import type { shapes } from "#contract";
import { hoopKindOf } from "#core/floor";
import { Hem } from "../parts/hem";
import { DesignImage } from "../pieces/run-sheet";
import { HabitLine } from "../placing/habit-line";
import { placedSign, placedWords, usePlacedRun } from "../placing/placed";
import { dateWords, lengthWords } from "../today/day";
import { localTime } from "#core/shop";
import { hoopWords, partWords, placement } from "./sentences";
import type { Ready, StationDay } from "./station-day";
import type { Floor } from "./use-floor";

/** The piece in hand: its picture in thread with its hem, and what belongs to it. */
export function PieceSheet({
  floor,
  job,
  brief,
  machineId,
}: {
  readonly floor: Floor;
  readonly job: shapes.PlannedJob;
  readonly machineId: string;
  /** Small, beside the needles that are to be threaded. */
  readonly brief: boolean;
}) {
  const hoop = hoopWords(job, floor.names.hoop(job.jobId));
  const placed = usePlacedRun(job.jobId);
  const facts = [
    ["Where", placement(job)],
    ["Hoop", hoop || "none"],
    ["Backing", [job.backing, job.topping && `${job.topping} on top`].filter(Boolean).join(", ") || "none"],
    ["Needle", job.needleAdvice],
  ].filter(([, words]) => words !== "");
  return (
    <section className={`piece ${brief ? "piece-brief" : "piece-large"}`} aria-label="The piece">
      <div className="piece-picture">
        {job.designVersionId && (
          <DesignImage
            versionId={job.designVersionId}
            threadIds={job.parts.map((part) => part.threadId)}
            name={job.designName}
            size="full"
          />
        )}
      </div>
      <div className="piece-words">
        <h2>{job.personalText || job.title}</h2>
        <p className="piece-product">
          {job.product}
          {!brief && <span className="quiet"> · {job.pieceCode}</span>}
        </p>
        {placed && (
          <p className="piece-placed">
            <b>{placedSign(placed)}:</b> {placedWords(placed, machineId)}
          </p>
        )}
        {brief ? (
          <p className="quiet">{partWords(job)}</p>
        ) : (
          <dl>
            {facts.map(([title, words]) => (
              <div key={title}>
                <dt>{title}</dt>
                <dd>{words}</dd>
              </div>
            ))}
          </dl>
        )}
      </div>
    </section>
  );
}

/**
 * The hem of the piece in hand across the top of the page; while it sews, what is sewn fades, a line goes along where
 * the needle is, and its stops are marked.
 */
export function TopHem({ floor, day }: { readonly floor: Floor; readonly day: StationDay }) {
  const { job, sewn } = day;
  if (!job) return <div className="station-hem" aria-hidden />;
  const percent = (share: number) => `${(100 * share).toFixed(2)}%`;
  return (
    <div className={`station-hem${sewn ? " station-hem-sewing" : ""}`}>
      <Hem
        heightPx={sewn ? 24 : 14}
        parts={job.parts.map((part) => ({
          thread: floor.threads.get(part.threadId) ?? null,
          stitches: part.stitches,
        }))}
      />
      {sewn && (
        <>
          <span className="hem-sewn" style={{ width: percent(sewn.share) }} />
          {sewn.stops.map((share) => (
            <span key={share} className="hem-stop" style={{ left: percent(share) }} />
          ))}
          <span className="hem-now" style={{ left: `clamp(3px, ${percent(sewn.share)}, 100% - 3px)` }} />
        </>
      )}
    </div>
  );
}

/** What stands around the piece: the next one, what to hoop meanwhile, and when this one is ready. */
export function Around({
  floor,
  day,
  hoops,
}: {
  readonly floor: Floor;
  readonly day: StationDay;
  /** Whether the machine takes hooped pieces at all. */
  readonly hoops: boolean;
}) {
  const { next, hooping, ready } = day;
  if (!hoops) return null;
  return (
    <div className="around">
      <Card title="Next on this machine">
        {next ? (
          <>
            <b>{next.job.personalText || next.job.title}</b>
            <span>
              {next.job.product}
              {next.startMs > floor.floor.nowMs && `, ${floor.names.clock(next.startMs)}`}
            </span>
          </>
        ) : (
          <span>Nothing more is planned</span>
        )}
      </Card>
      <Card title="To hoop meanwhile">
        {hooping ? (
          <>
            <b>{hooping.job.personalText || hooping.job.title}</b>
            <span>
              {hoopWords(hooping.job, floor.names.hoop(hooping.job.jobId))}
              {hooping.hand && ` · ${hooping.hand}`}
            </span>
            <HabitLine
              personId={floor.answer.people.find((one) => one.name === hooping.hand)?.id ?? null}
              hoopId={hoopKindOf(floor.floor, hooping.job.jobId)}
              hoopName={hooping.job.hoopName ?? "this hoop"}
            />
          </>
        ) : (
          <span>Nothing waits for a hoop</span>
        )}
      </Card>
      {ready && <ReadyCard floor={floor} ready={ready} />}
    </div>
  );
}

const Card = ({ title, children }: { readonly title: string; readonly children: React.ReactNode }) => (
  <div className="around-card">
    <h3>{title}</h3>
    {children}
  </div>
);

function ReadyCard({ floor, ready }: { readonly floor: Floor; readonly ready: Ready }) {
  const today = localTime(floor.timeZone, floor.floor.nowMs).date;
  const due = ready.shipBy === today ? "today" : dateWords(ready.shipBy);
  const late =
    ready.lateMinutes !== null
      ? `late by ${lengthWords(ready.lateMinutes * 60)}`
      : ready.spareS !== null && ready.spareS < 0
        ? `late by ${lengthWords(-ready.spareS)}`
        : null;
  return (
    <Card title="Ready by">
      <b>{floor.names.clock(ready.readyAtMs)}</b>
      <span>
        ships {due}
        {late ? (
          <>
            {" · "}
            <span className="words-late">{late}</span>
          </>
        ) : (
          ready.spareS !== null && ` · ${lengthWords(ready.spareS)} to spare`
        )}
      </span>
    </Card>
  );
}
