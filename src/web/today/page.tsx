import { Button, SegmentedControl, Skeleton } from "@mantine/core";
import { downSpans } from "#core/shop";
import { Link, useNavigate, useSearch } from "@tanstack/react-router";
import { useCallback, useEffect, useMemo, useState } from "react";
import { useAnswer } from "../asking";
import { Empty, TroubleSheet } from "../parts/states";
import { StationsMenu } from "../station/way-in";
import { BoardView } from "./board";
import { PieceCard } from "./card";
import { useNowMs } from "./clock";
import { clockOf, dateWords, type Day, readDay } from "./day";
import { FloorMenu } from "./floor-menu";
import { Happened } from "./happened";
import { Headline, Unmarked } from "./headline";
import { LeftOut } from "./left-out";
import { PlanList } from "./list";
import { PlanNotes } from "./plan-notes";
import { PlanButton, type Planning, PlanningSheet, usePlanning } from "./planning";
import { localTime } from "#core/shop";

/** How the day stands, who does what when, and the next thing to do. */
export function TodayPage() {
  const answer = useAnswer("plan", "currentPlan", {});
  const planning = usePlanning(answer.data?.run);
  const view = answer.data?.plan ?? null;
  const day = useMemo(() => (view ? readDay(view) : null), [view]);
  useEffect(() => {
    document.title = "Today";
  }, []);
  if (answer.isPending) return <TodaySkeleton />;
  if (answer.isError)
    return (
      <>
        <h1 className="visually-hidden">Today</h1>
        <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />
      </>
    );
  if (!day) return <NoPlan planning={planning} />;
  return <TheDay day={day} planning={planning} />;
}

function TheDay({ day, planning }: { readonly day: Day; readonly planning: Planning | null }) {
  const { view } = day;
  const nowMs = useNowMs();
  // Whole tens of seconds: the board need not be drawn again for less.
  const nowS = Math.floor((nowMs - view.startsAtMs) / 10_000) * 10;
  const search: { view?: string; job?: string } = useSearch({ strict: false });
  const navigate = useNavigate();
  const [narrow] = useState(() => window.innerWidth < 700);
  const shown = search.view === "list" || search.view === "board" ? search.view : narrow ? "list" : "board";
  const open = useCallback(
    (job: string | undefined) =>
      void navigate({
        to: "/",
        search: (before: Record<string, string | undefined>) => ({ ...before, job }),
        replace: true,
        resetScroll: false,
      }),
    [navigate],
  );
  const show = (next: string) =>
    void navigate({
      to: "/",
      search: (before: Record<string, string | undefined>) => ({ ...before, view: next }),
      replace: true,
      resetScroll: false,
    });
  const whyDown = useWhyDown(day);
  const running = planning?.run.state === "running" && !planning.run.byItself;
  const today = localTime(view.timeZone, nowMs).date;
  return (
    <>
      <div className="today-head">
        <h1>Today</h1>
        <span className="quiet">
          {dateWords(today, true)} · planned at{" "}
          {localTime(view.timeZone, view.madeAtMs).date === today
            ? ""
            : `${dateWords(localTime(view.timeZone, view.madeAtMs).date)} `}
          {clockOf(view.timeZone, view.madeAtMs)}
        </span>
        <div className="today-acts">
          <SegmentedControl
            aria-label="Form of the plan"
            size="md"
            value={shown}
            onChange={show}
            data={[
              { value: "board", label: "Board" },
              { value: "list", label: "List" },
            ]}
          />
          <Happened timeZone={view.timeZone} />
          <StationsMenu />
          <FloorMenu day={day} />
          <PlanButton words="Plan again" running={running} />
        </div>
      </div>
      {planning && <PlanningSheet planning={planning} hasPlan />}
      <PlanNotes day={day} planning={planning} />
      <Headline day={day} nowS={nowS} onOpen={open} />
      {shown === "board" && <Unmarked day={day} nowS={nowS} onList={() => show("list")} />}
      {day.blocks.size === 0 && day.view.plan.tasks.length === 0 ? (
        <Empty
          title="Nothing to sew in this plan"
          action={
            <Button component={Link} to="/orders" size="md">
              Go to Orders
            </Button>
          }
        >
          <p>
            Every piece is sewn, held back or waiting. Bring in orders, or look below at what was left out and
            why.
          </p>
        </Empty>
      ) : shown === "board" ? (
        <BoardView day={day} nowS={nowS} onOpen={open} whyDown={whyDown} />
      ) : (
        <PlanList day={day} nowS={nowS} onOpen={open} />
      )}
      <LeftOut day={day} />
      <PieceCard day={day} jobId={search.job ?? null} nowS={nowS} onClose={() => open(undefined)} />
    </>
  );
}

/** Why a machine is down, from its record; "away" where the record gives no reason. */
function useWhyDown(day: Day) {
  const { view } = day;
  const machines = useAnswer(
    "machines",
    "machines.list",
    {},
    { enabled: view.machines.some((machine) => machine.down.length > 0) },
  );
  return useCallback(
    (machineId: string, start: number, end: number): string => {
      const record = machines.data?.items.find((machine) => machine.id === machineId);
      const found = record?.downTimes.find((down) =>
        downSpans(view.timeZone, [down]).some(
          (span) => span.start < view.startsAtMs + end * 1000 && view.startsAtMs + start * 1000 < span.end,
        ),
      );
      return found && found.why !== "" ? found.why : "away";
    },
    [machines.data, view],
  );
}

function NoPlan({ planning }: { readonly planning: Planning | null }) {
  const orders = useAnswer("orders", "listOrders", { query: { limit: 1 } });
  const none = orders.data?.open === 0;
  return (
    <>
      <div className="today-head">
        <h1>Today</h1>
      </div>
      {planning && <PlanningSheet planning={planning} hasPlan={false} />}
      {none ? (
        <Empty
          title="No orders yet"
          action={
            <Button component={Link} to="/orders/import" size="md">
              Bring in orders
            </Button>
          }
        >
          <p>
            Today shows what goes on which machine next, with which threads, so that everything ships on time.
            It needs open orders first: bring in a list, or <Link to="/orders/new">type one</Link>.
          </p>
        </Empty>
      ) : (
        (planning?.run.state !== "running" || planning.run.byItself) && (
          <Empty
            title="There is no plan yet"
            action={<PlanButton words="Plan the day" running={false} size="lg" />}
          >
            <p>
              {orders.data
                ? `${orders.data.open} ${orders.data.open === 1 ? "order is" : "orders are"} open. `
                : ""}
              The plan says what goes on which machine next, in which hoop, with which threads on which
              needles, so that everything ships on time and little time goes on threading.
            </p>
          </Empty>
        )
      )}
    </>
  );
}

function TodaySkeleton() {
  return (
    <div role="status" aria-label="Reading the plan">
      <div className="today-head">
        <h1>Today</h1>
      </div>
      <div className="headline" aria-hidden>
        {[150, 190, 130, 400].map((width) => (
          <Skeleton key={width} height={92} width={width} maw="100%" radius="md" />
        ))}
      </div>
      <Skeleton height={420} radius="md" aria-hidden />
    </div>
  );
}
