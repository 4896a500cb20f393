import type { shapes } from "#contract";
import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { useAnswer } from "../asking";
import { useListAddress } from "../parts/list-address";
import { PageHead } from "../parts/page-head";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { useNowMs } from "../today/clock";
import { Hands } from "./hands";
import { type Lane, Lanes } from "./lanes";
import { Patterns } from "./patterns";
import { UseList } from "./use-list";
import { Week, type WeekRow } from "./week";
import { minutesWords, offWords, share, uses } from "./uses";
import "./history.css";

type History = shapes.FloorHistory;

/** A day's runs shown at first; more by a press. */
const FIRST_RUNS = 25;

const dateFormat = (timeZone: string) => new Intl.DateTimeFormat("en-CA", { timeZone, dateStyle: "short" });
const shifted = (date: string, days: number): string =>
  new Date(Date.parse(`${date}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);

/** The floor as it was: where the minutes went, planned against real, and what of the waiting is chance. */
export function HistoryPage() {
  const address = useListAddress();
  const studio = useAnswer("studio", "readStudio", {});
  const nowMs = useNowMs();
  const timeZone = studio.data?.timeZone ?? "UTC";
  const today = dateFormat(timeZone).format(nowMs);
  const to = /^\d{4}-\d{2}-\d{2}$/.test(address.word("day")) ? address.word("day") : today;
  const span = address.word("span") === "week" ? 7 : 1;
  const history = useAnswer(
    "floor",
    "floorHistory",
    { query: { from: shifted(to, 1 - span), to } },
    { keep: true, enabled: studio.data !== undefined },
  );
  const go = (day: string) => address.set({ day: day === today ? undefined : day }, "push");
  return (
    <>
      <PageHead
        title="History"
        lead="Where the minutes went, and how the day really ran beside its plan."
        acts={
          <div className="history-days">
            <Button size="md" variant="default" onClick={() => go(shifted(to, -span))}>
              ← Before
            </Button>
            <Button size="md" variant="default" disabled={to >= today} onClick={() => go(shifted(to, span))}>
              After →
            </Button>
            <Button
              size="md"
              variant="default"
              onClick={() => address.set({ span: span === 7 ? undefined : "week" })}
            >
              {span === 7 ? "One day" : "Seven days"}
            </Button>
          </div>
        }
      />
      {history.isError ? (
        <TroubleSheet trouble={history.error} onAgain={() => void history.refetch()} />
      ) : history.data ? (
        <Shown
          history={history.data}
          timeZone={timeZone}
          onDay={(day) => address.set({ day: day === today ? undefined : day, span: undefined }, "push")}
        />
      ) : (
        <Waiting words="Looking back" />
      )}
    </>
  );
}

function Shown({
  history,
  timeZone,
  onDay,
}: {
  readonly history: History;
  readonly timeZone: string;
  readonly onDay: (date: string) => void;
}) {
  const day = new Intl.DateTimeFormat("en-GB", {
    timeZone: "UTC",
    weekday: "long",
    day: "numeric",
    month: "long",
  });
  const words = (date: string) => day.format(new Date(`${date}T00:00:00Z`));
  const title =
    history.from === history.to ? words(history.to) : `${words(history.from)} to ${words(history.to)}`;
  const isTold = history.days.some((one) => one.people.some(({ told }) => Object.keys(told).length > 0) || one.nobodys > 0); // prettier-ignore
  if (history.runs.length === 0 && history.totals.seconds.sewing === 0 && !isTold)
    return (
      <div className="history">
        <Empty
          title={`Nothing was told from the floor on ${title}`}
          action={
            <Button component={Link} to="/machines" size="md">
              Open a station
            </Button>
          }
        >
          When stations tell what is threaded, loaded, sewn and finished, this page shows where each machine’s
          minutes went and how far the day kept to its plan.
        </Empty>
      </div>
    );
  return (
    <div className="history">
      <Patterns />
      <section className="sheet history-sheet" aria-label="In figures">
        <h2>{title}</h2>
        <Facts history={history} />
      </section>
      <section className="sheet history-sheet" aria-label="Machines">
        <h2>Machine by machine</h2>
        {history.days.length === 1 ? (
          <Lanes lanes={machineLanes(history)} timeZone={timeZone} />
        ) : (
          <Week
            rows={machineWeek(history)}
            dates={history.days.map((one) => one.date)}
            uses={uses}
            onDay={onDay}
          />
        )}
        <UseList seconds={history.totals.seconds} uses={uses} />
        <Untold history={history} />
        {history.waiting && <p>{history.waiting.sentence}</p>}
      </section>
      <Hands history={history} timeZone={timeZone} onDay={onDay} />
      {history.runs.length > 0 && <Runs history={history} timeZone={timeZone} />}
    </div>
  );
}

/** A day's machines, and below each what was planned for the same runs. */
function machineLanes(history: History): Lane[] {
  const [day] = history.days;
  const title = new Map(history.runs.map((run) => [run.jobId, run.title]));
  const useOf = new Map(uses.map((one) => [one.use, one]));
  return (day?.machines ?? []).map((machine) => {
    const name = history.machines.find((one) => one.id === machine.machineId)?.name ?? "";
    return {
      id: machine.machineId,
      name,
      said: `${name}: ${uses
        .filter(({ use }) => machine.seconds[use] > 0)
        .map(({ use, words }) => `${words} ${minutesWords(machine.seconds[use])}`)
        .join(", ")}`,
      spans: machine.spans.map((span) => {
        const { fill, words } = useOf.get(span.use)!;
        const piece = span.jobId === null ? "" : `${title.get(span.jobId) ?? ""} `;
        return { ...span, fill, words: `${piece}${words}` };
      }),
      planned: history.runs.flatMap((run) =>
        run.machineId !== machine.machineId || run.plannedStartMs === null
          ? []
          : [
              {
                key: run.jobId,
                fromMs: run.plannedStartMs,
                toMs: run.plannedEndMs ?? run.plannedStartMs,
                words: `${run.title} was planned`,
              },
            ],
      ),
    };
  });
}

const machineWeek = (history: History): WeekRow[] =>
  history.machines.map(({ id, name }) => ({
    id,
    name,
    days: history.days.map((day) => day.machines.find((one) => one.machineId === id)?.seconds ?? null),
  }));

/** What no station told of has no place in the picture: how much that is. */
function Untold({ history }: { readonly history: History }) {
  const untold = history.runs.filter((run) => run.estimated);
  if (untold.length === 0) return null;
  const sewedS = untold.reduce((sum, run) => sum + run.sewedS, 0);
  return (
    <p className="quiet">
      {untold.length === 1 ? "One run was" : `${untold.length} runs were`} only moved on{" "}
      {untold.length === 1 ? "its piece’s page" : "their pieces’ pages"}: about {minutesWords(sewedS)} of
      sewing, which nobody told the time of, so that the picture lacks it.
    </p>
  );
}

const number = new Intl.NumberFormat("en-GB");

function Facts({ history: { totals } }: { readonly history: History }) {
  const all = Object.values(totals.seconds).reduce((sum, one) => sum + one, 0);
  const facts = [
    [`${totals.pieces}`, totals.spoiled > 0 ? `pieces sewn, ${totals.spoiled} spoiled` : "pieces sewn"],
    [share(totals.seconds.sewing, all), "of the machines’ time sewing"],
    [number.format(totals.stitches), "stitches"],
    [`${totals.breaks}`, "thread breaks"],
    [`${number.format(totals.threadMetres)} m`, "thread"],
    [`${totals.bobbins}`, "bobbins"],
  ];
  return (
    <dl className="history-facts">
      {facts.map(([value, words]) => (
        <div key={words}>
          <dt>{words}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

function Runs({ history, timeZone }: { readonly history: History; readonly timeZone: string }) {
  const clock = new Intl.DateTimeFormat("en-GB", { timeZone, hour: "2-digit", minute: "2-digit" });
  const at = (ms: number | null) => (ms === null ? "–" : clock.format(ms));
  const machine = new Map(history.machines.map((one) => [one.id, one.name]));
  const [isWhole, setWhole] = useState(false);
  const shown = isWhole ? history.runs : history.runs.slice(0, FIRST_RUNS);
  return (
    <section className="sheet history-sheet" aria-label="Planned against real">
      <h2>Planned against real</h2>
      <div className="history-table" tabIndex={0} role="region" aria-label="Runs">
        <table className="history-runs">
          <thead>
            <tr>
              <th scope="col">Piece</th>
              <th scope="col">Machine</th>
              <th scope="col">Planned</th>
              <th scope="col">Real</th>
              <th scope="col">Ended</th>
              <th scope="col">Sewing</th>
            </tr>
          </thead>
          <tbody>
            {shown.map((run) => (
              <tr key={run.jobId}>
                <td>
                  <Link to="/pieces/$id" params={{ id: run.pieceId }}>
                    {run.title}
                  </Link>
                  {run.stage === "spoiled" && <b> spoiled</b>}
                  {run.estimated && <span className="quiet"> moved on its page</span>}
                </td>
                <td>{machine.get(run.machineId ?? "") ?? "–"}</td>
                <td>
                  {run.plannedStartMs === null
                    ? "not planned"
                    : `${at(run.plannedStartMs)} – ${at(run.plannedEndMs)}`}
                </td>
                <td>
                  {run.estimated
                    ? `by ${at(run.endedAtMs)}`
                    : `${at(run.startedAtMs)} – ${at(run.endedAtMs)}`}
                </td>
                <td>
                  {run.plannedEndMs === null || run.endedAtMs === null
                    ? "–"
                    : offWords(run.endedAtMs - run.plannedEndMs)}
                </td>
                <td>
                  {run.estimated ? (
                    <>
                      <span className="quiet">about</span> {minutesWords(run.sewedS)}
                    </>
                  ) : (
                    <>
                      {minutesWords(run.sewedS)}{" "}
                      <span className="quiet">of {minutesWords(run.expectedS)} expected</span>
                    </>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {shown.length < history.runs.length && (
        <Button size="md" variant="default" mt="md" onClick={() => setWhole(true)}>
          Show all {history.runs.length}
        </Button>
      )}
    </section>
  );
}
