import { Button } from "@mantine/core";
import { ThreadChip } from "../parts/thread-chip";
import { type Day, lengthWords, timeWords } from "./day";
import { isProven, shortBoundWords } from "./proof";
import { nextThing, unmarkedJobs, whenWords } from "./next-thing";
import "./headline.css";

const number = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 0 });

/** What this plan saves against working the pieces off as they came, in one line; null where nothing is known of it. */
function savingWords(day: Day): string | null {
  const { careful } = day.view.headline;
  const { totals } = day.view.plan;
  if (!careful) return null;
  const parts: string[] = [];
  const fewer = careful.threadings - totals.threadings;
  if (fewer !== 0)
    parts.push(
      `${Math.abs(fewer)} ${fewer > 0 ? "fewer" : "more"} ${Math.abs(fewer) === 1 ? "threading" : "threadings"}`,
    );
  const onTime = careful.lateJobs - totals.lateJobs;
  if (onTime !== 0) parts.push(`${Math.abs(onTime)} ${onTime > 0 ? "fewer" : "more"} late`);
  const stops = careful.midStops - totals.midStops;
  if (stops !== 0) parts.push(`${Math.abs(stops)} ${stops > 0 ? "fewer" : "more"} mid-stops`);
  const sooner = careful.finishAt - totals.finishAt;
  if (Math.abs(sooner) >= 60)
    parts.push(`finished ${lengthWords(Math.abs(sooner))} ${sooner > 0 ? "sooner" : "later"}`);
  return parts.length === 0
    ? "Nothing saved against working them off as they came."
    : `Against working them off as they came: ${parts.join(", ")}.`;
}

/** How the day stands, what is proven, and the very next thing for a person to do. */
export function Headline({
  day,
  nowS,
  onOpen,
}: {
  readonly day: Day;
  readonly nowS: number;
  readonly onOpen: (jobId: string) => void;
}) {
  const { view } = day;
  const { headline, plan } = view;
  const { totals, bounds } = plan;
  const lateChores = Math.max(0, totals.lateJobs - headline.late.length);
  const late = headline.late.length + lateChores;
  const saving = savingWords(day);
  return (
    <div className="headline">
      <div className={`sheet fact ${late > 0 ? "fact-late" : "fact-fine"}`}>
        {late > 0 ? (
          <>
            <strong>{late} late</strong>
            <ul className="fact-late-list">
              {headline.late.slice(0, 3).map((one) => (
                <li key={one.jobId}>
                  <button type="button" className="plain-link" onClick={() => onOpen(one.jobId)}>
                    {one.title}, by {lengthWords(one.minutes * 60)}
                  </button>
                  {one.why !== "" && <span className="fact-why">{one.why}</span>}
                </li>
              ))}
              {headline.late.length > 3 && <li>and {headline.late.length - 3} more</li>}
              {lateChores > 0 && (
                <li>
                  {lateChores === 1 ? "1 task that is no piece" : `${lateChores} tasks that are no pieces`}
                </li>
              )}
            </ul>
          </>
        ) : (
          <>
            <strong>
              {headline.pieces === 1 ? "1 on time" : `all ${number.format(headline.pieces)} on time`}
            </strong>
            <span>
              {headline.tightest ? (
                <>
                  tightest:{" "}
                  <button
                    type="button"
                    className="plain-link"
                    onClick={() => onOpen(headline.tightest!.jobId)}
                  >
                    {headline.tightest.title}
                  </button>
                  , {lengthWords(headline.tightest.spareS)} to spare
                </>
              ) : (
                "no piece has a date to keep"
              )}
            </span>
          </>
        )}
      </div>
      <div className="sheet fact">
        <strong>
          {number.format(totals.threadings)} {totals.threadings === 1 ? "threading" : "threadings"}
        </strong>
        <span>{shortBoundWords(totals.threadings, bounds.threadings)}</span>
      </div>
      <div className="sheet fact">
        <strong>{timeWords(view, totals.finishAt, nowS)}</strong>
        <span>
          last piece finished
          {isProven(totals.cost, bounds.cost) && "; this plan is proven best"}
        </span>
      </div>
      <NextSheet day={day} nowS={nowS} />
      {saving && <p className="headline-saving quiet">{saving}</p>}
    </div>
  );
}

function NextSheet({ day, nowS }: { readonly day: Day; readonly nowS: number }) {
  const next = nextThing(day, nowS);
  if (!next)
    return (
      <div className="sheet fact fact-next">
        <strong className="next-words">Everything in this plan is behind us.</strong>
        <span>Plan again when there is more to sew.</span>
      </div>
    );
  const tasks = next.step.group.tasks.filter((task) => task.do === "thread");
  return (
    <div className="sheet fact fact-next" aria-label="The next thing to do" role="group">
      <strong className="next-words">
        {whenWords(day, next.step, nowS)}
        {next.step.handName}: {next.step.telling}.
      </strong>
      <span>
        {next.then && `Then ${next.then.replace(/:.*$/, "")}. `}
        {next.meanwhile.length > 0 && `Meanwhile ${next.meanwhile.join("; ")}.`}
      </span>
      {tasks.length > 0 && (
        <span className="next-threads">
          {tasks.map((task) => (
            <span key={task.needle} className="next-thread">
              needle {task.needle} <ThreadChip thread={day.threads.get(task.colour ?? "")} />
            </span>
          ))}
        </span>
      )}
      {next.caution && <span className="next-caution">{next.caution}</span>}
    </div>
  );
}

/** Says that the clock has run past pieces nobody marked, and offers to go and mark them. */
export function Unmarked({
  day,
  nowS,
  onList,
}: {
  readonly day: Day;
  readonly nowS: number;
  readonly onList: () => void;
}) {
  const jobs = unmarkedJobs(day, nowS);
  if (jobs.length === 0) return null;
  return (
    <div className="strip strip-quiet" role="status">
      <span>
        {jobs.length === 1
          ? `${jobs[0]!.title} should be off its machine by now and is not marked as sewn.`
          : `${jobs.length} pieces should be off their machines by now and are not marked as sewn.`}{" "}
        Mark what is done, or plan again from here.
      </span>
      <Button variant="default" onClick={onList}>
        Show the list
      </Button>
    </div>
  );
}
