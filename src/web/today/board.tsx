import { Button } from "@mantine/core";
import { axisMarks, markStepMinutes, type TaskGroup } from "#drawing";
import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "react";
import { clockOf, clockOfMinute, dateWords, type Day, lengthWords } from "./day";
import { areSingle, groupId, handGroups, HandTrack } from "./lane-hand";
import { MachineTrack } from "./lane-machine";
import { forgetWidths, textWidth } from "./measure";
import { BoardTip, type TipPlace } from "./tip";
import { taskKinds, TaskSign, taskWords } from "./task-look";
import { useZoom, type ZoomLevel } from "./zoom";
import { localTime } from "#core/shop";
import "./board.css";

const levels: readonly { readonly level: ZoomLevel; readonly words: string; readonly key: string }[] = [
  { level: "hour", words: "Hour", key: "h" },
  { level: "day", words: "Day", key: "d" },
  { level: "week", words: "Week", key: "w" },
];

export interface BoardLook {
  readonly day: Day;
  readonly nowS: number;
  readonly onOpen: (jobId: string) => void;
  readonly whyDown: (machineId: string, start: number, end: number) => string;
}

/** What can be walked along in a lane. */
interface Stop {
  readonly start: number;
  readonly end: number;
  readonly elementId: string;
  readonly jobId: string | null;
  readonly tip: string;
}

function useNarrow(): boolean {
  const [narrow, setNarrow] = useState(() => window.innerWidth < 700);
  useEffect(() => {
    const look = () => setNarrow(window.innerWidth < 700);
    window.addEventListener("resize", look);
    return () => window.removeEventListener("resize", look);
  }, []);
  return narrow;
}

/** Moves blocks from where they stood in the plan before, 400 ms, unless motion is not wanted. */
function useMoving(day: Day, x: (seconds: number) => number, box: React.RefObject<HTMLDivElement | null>) {
  const before = useRef<{
    readonly planId: string;
    readonly startsMs: ReadonlyMap<string, { readonly atMs: number; readonly machineId: string }>;
  } | null>(null);
  useLayoutEffect(() => {
    const { planId, startsAtMs } = day.view;
    const old = before.current;
    if (old?.planId === planId) return;
    before.current = {
      planId,
      startsMs: new Map(
        [...day.blocks].map(([id, block]) => [
          id,
          { atMs: startsAtMs + block.start * 1000, machineId: block.machineId },
        ]),
      ),
    };
    if (!old || !box.current || window.matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    const order = day.board.machines.map((lane) => lane.machineId);
    for (const element of box.current.querySelectorAll<HTMLElement>("[data-job]")) {
      const id = element.dataset.job ?? "";
      const was = old.startsMs.get(id);
      const block = day.blocks.get(id);
      if (!was || !block) continue;
      const dx = x((was.atMs - startsAtMs) / 1000) - x(block.start);
      const dy = (order.indexOf(was.machineId) - order.indexOf(block.machineId)) * 118;
      if (dx !== 0 || dy !== 0)
        element.animate([{ transform: `translate(${dx}px, ${dy}px)` }, { transform: "none" }], {
          duration: 400,
          easing: "ease-in-out",
        });
    }
  }, [day, x, box]);
}

export function BoardView({ day, nowS, onOpen, whyDown }: BoardLook) {
  const { view, board } = day;
  const narrow = useNarrow();
  const headPx = narrow ? 92 : 132;
  const zoom = useZoom({ board, nowS, headPx });
  const { axis, box, windowPx } = zoom;
  const [active, setActive] = useState<Readonly<Record<string, string>>>({});
  const [tip, setTip] = useState<TipPlace | null>(null);
  const [, remeasure] = useState(0);
  const closing = useRef(0);
  useMoving(day, axis.x, box);

  useEffect(() => {
    // Words measured before the face had loaded were measured in another.
    void document.fonts.ready.then(() => {
      forgetWidths();
      remeasure((count) => count + 1);
    });
  }, []);

  const zoomBy = useRef(zoom.by);
  const axisNow = useRef(axis);
  useEffect(() => {
    zoomBy.current = zoom.by;
    axisNow.current = axis;
  });
  useEffect(() => {
    const at = box.current;
    if (!at) return;
    const turn = (event: WheelEvent) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      const x = event.clientX - at.getBoundingClientRect().left - headPx + at.scrollLeft;
      zoomBy.current(Math.exp(-event.deltaY / 300), axisNow.current.seconds(x));
    };
    at.addEventListener("wheel", turn, { passive: false });
    return () => at.removeEventListener("wheel", turn);
  }, [box, headPx]);

  const groups = useMemo(
    () => new Map(board.hands.map((lane) => [lane.handId, handGroups(lane.tasks, axis)])),
    [board.hands, axis],
  );
  const lanes = useMemo(
    () => [
      ...board.machines.map((lane) => ({
        key: `m ${lane.machineId}`,
        stops: lane.blocks.map((block): Stop => ({
          start: block.start,
          end: block.end,
          elementId: `block-${block.jobId}`,
          jobId: block.jobId,
          tip: `job ${block.jobId}`,
        })),
      })),
      ...board.hands.map((lane) => ({
        key: `h ${lane.handId}`,
        stops: (groups.get(lane.handId) ?? []).map((group, index): Stop => ({
          start: group.start,
          end: group.end,
          elementId: groupId(lane.handId, group),
          jobId: areSingle(axis) ? (group.tasks[0]?.job ?? null) : null,
          tip: `hand ${lane.handId} ${index}`,
        })),
      })),
    ],
    [board, groups, axis],
  );

  const activeOf = (stops: readonly Stop[], key: string): number => {
    const named = stops.findIndex((stop) => stop.elementId === active[key]);
    if (0 <= named) return named;
    const upcoming = stops.findIndex((stop) => nowS < stop.end);
    return upcoming < 0 ? Math.max(0, stops.length - 1) : upcoming;
  };

  const walk = (laneIndex: number, stopIndex: number) => {
    const lane = lanes[laneIndex];
    const stop = lane?.stops[Math.min(Math.max(0, stopIndex), lane.stops.length - 1)];
    if (!lane || !stop) return;
    setActive((before) => ({ ...before, [lane.key]: stop.elementId }));
    zoom.reveal(stop.start, stop.end);
    document.getElementById(`lane-${laneIndex}`)?.focus({ preventScroll: false });
    window.requestAnimationFrame(() => showTip(document.getElementById(stop.elementId), stop.tip));
  };
  const showTip = (element: Element | null, what: string) => {
    const shell = box.current?.parentElement;
    if (!element || !shell) return;
    window.clearTimeout(closing.current);
    const own = element.getBoundingClientRect();
    const around = shell.getBoundingClientRect();
    setTip({
      what,
      x: Math.max(own.left, around.left + headPx) - around.left,
      above: own.top - around.top,
      below: own.bottom - around.top,
      roomPx: around.width,
    });
  };
  const hideTipSoon = () => {
    window.clearTimeout(closing.current);
    closing.current = window.setTimeout(() => setTip(null), 220);
  };
  const openStop = (stop: Stop, group?: TaskGroup) => {
    setTip(null);
    if (stop.jobId !== null) onOpen(stop.jobId);
    else if (group && group.tasks.length > 0 && group.tasks[0]!.do !== "chore" && !areSingle(axis))
      zoom.into(stop.start, stop.end);
  };

  const laneKeys = (event: React.KeyboardEvent, laneIndex: number) => {
    const lane = lanes[laneIndex]!;
    const at = activeOf(lane.stops, lane.key);
    const nearest = (other: number) => {
      const stops = lanes[other]?.stops ?? [];
      const here = lane.stops[at]?.start ?? nowS;
      return stops.reduce(
        (best, stop, index) =>
          Math.abs(stop.start - here) < Math.abs((stops[best]?.start ?? 0) - here) ? index : best,
        0,
      );
    };
    const acts: Record<string, () => void> = {
      ArrowRight: () => walk(laneIndex, at + 1),
      ArrowLeft: () => walk(laneIndex, at - 1),
      Home: () => walk(laneIndex, 0),
      End: () => walk(laneIndex, lane.stops.length - 1),
      ArrowDown: () => walk(laneIndex + 1, nearest(laneIndex + 1)),
      ArrowUp: () => walk(laneIndex - 1, nearest(laneIndex - 1)),
      Enter: () => lane.stops[at] && openStop(lane.stops[at], groupAt(laneIndex, at)),
      " ": () => lane.stops[at] && openStop(lane.stops[at], groupAt(laneIndex, at)),
    };
    const act = event.ctrlKey || event.metaKey || event.altKey ? undefined : acts[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  };
  const groupAt = (laneIndex: number, index: number): TaskGroup | undefined =>
    groups.get(board.hands[laneIndex - board.machines.length]?.handId ?? "")?.[index];

  const boardKeys = (event: React.KeyboardEvent) => {
    if (
      event.ctrlKey ||
      event.metaKey ||
      event.altKey ||
      !(event.target instanceof HTMLElement) ||
      !box.current?.contains(event.target)
    )
      return;
    const level = levels.find((one) => one.key === event.key)?.level;
    if (level) zoom.toLevel(level);
    else if (event.key === "+" || event.key === "=") zoom.by(1.5);
    else if (event.key === "-") zoom.by(1 / 1.5);
    else if (event.key === "n") zoom.toTime(nowS);
    else if (event.key === "Escape" && tip) setTip(null);
    else return;
    event.preventDefault();
  };

  /** Narrow blocks are hard to hit: the nearest within a finger's half-width counts. */
  const clickLane = (event: React.MouseEvent<HTMLElement>, laneIndex: number) => {
    const stops = lanes[laneIndex]!.stops;
    const x = event.clientX - event.currentTarget.getBoundingClientRect().left;
    const away = (stop: Stop) => Math.max(axis.x(stop.start) - x, x - axis.x(stop.end), 0);
    const index = stops.reduce(
      (best, stop, at) => (best < 0 || away(stop) < away(stops[best]!) ? at : best),
      -1,
    );
    const stop = stops[index];
    if (!stop || away(stop) > 14) return;
    setActive((before) => ({ ...before, [lanes[laneIndex]!.key]: stop.elementId }));
    openStop(stop, groupAt(laneIndex, index));
  };

  const tipOver = (event: React.PointerEvent) => {
    if (event.pointerType !== "mouse") return;
    const found = (event.target as Element).closest<HTMLElement>("[data-tip]");
    if (found) showTip(found, found.dataset.tip ?? "");
    else hideTipSoon();
  };

  const nowX = axis.x(nowS);
  const nowShown = nowS <= (axis.spans.at(-1)?.[1] ?? 0);
  const nowClock = clockOf(view.timeZone, view.startsAtMs + nowS * 1000);
  const marks = useMemo(
    () =>
      axisMarks({
        axis,
        startsAtMs: view.startsAtMs,
        timeZone: view.timeZone,
        stepMinutes: markStepMinutes(axis.pxPerS, 62),
        fromS: axis.seconds(windowPx[0]),
        toS: axis.seconds(windowPx[1]),
      }),
    [axis, view, windowPx],
  );
  /** Whether a mark's clock stands free of the present and of the end of its day. */
  const markFits = (mark: { readonly at: number; readonly x: number }) => {
    const last = axis.spans.findIndex(([, end]) => mark.at <= end);
    const endX = axis.x(axis.spans[last]?.[1] ?? mark.at) + (last === axis.spans.length - 1 ? 12 : 30);
    return mark.x + 44 <= endX && !(nowShown && mark.x - 34 < nowX && nowX < mark.x + 72);
  };
  const laneCommon = (laneIndex: number, label: string) => {
    const lane = lanes[laneIndex]!;
    const at = activeOf(lane.stops, lane.key);
    return {
      id: `lane-${laneIndex}`,
      role: "listbox",
      "aria-label": label,
      "aria-orientation": "horizontal" as const,
      tabIndex: 0,
      "aria-activedescendant": lane.stops[at]?.elementId,
      className: "track-list",
      onKeyDown: (event: React.KeyboardEvent) => laneKeys(event, laneIndex),
      onClick: (event: React.MouseEvent<HTMLElement>) => clickLane(event, laneIndex),
      onBlur: hideTipSoon,
    };
  };
  const gapsIn = axis.gaps.filter((gap) => windowPx[0] <= gap.toX && gap.fromX <= windowPx[1]);
  /** Time that a lane is not worked, inside the shown spans. */
  const offOf = (spans: readonly (readonly [number, number])[]) =>
    axis.spans.flatMap(([from, to]) => {
      const inside = spans.filter(([start, end]) => start < to && from < end);
      const edges = [
        from,
        ...inside.flatMap(([start, end]) => [Math.max(from, start), Math.min(to, end)]),
        to,
      ];
      return edges.flatMap((edge, index) =>
        index % 2 === 0 && edge < (edges[index + 1] ?? edge) ? [[edge, edges[index + 1]!] as const] : [],
      );
    });

  return (
    <section
      className="board-shell"
      aria-label="Board"
      onKeyDown={boardKeys}
      onPointerOver={tipOver}
      onPointerLeave={hideTipSoon}
    >
      <div className="board-tools">
        <div className="board-levels" role="group" aria-label="How much time fills the board">
          {levels.map(({ level, words }) => (
            <Button
              key={level}
              variant={zoom.level === level ? "filled" : "default"}
              aria-pressed={zoom.level === level}
              onClick={() => zoom.toLevel(level)}
              className="board-tool"
            >
              {words}
            </Button>
          ))}
          <Button
            variant="default"
            className="board-tool"
            aria-label="Show more time"
            onClick={() => zoom.by(1 / 1.5)}
          >
            −
          </Button>
          <Button
            variant="default"
            className="board-tool"
            aria-label="Show less time, nearer"
            onClick={() => zoom.by(1.5)}
          >
            +
          </Button>
        </div>
        <Button
          variant="default"
          className="board-tool"
          onClick={() => zoom.toTime(nowS)}
          disabled={!nowShown}
        >
          Go to now
        </Button>
        <span className="board-hint quiet">
          Arrow keys walk the pieces, Enter opens one · + − h d w zoom, n is now · ctrl and the wheel zoom
        </span>
      </div>
      <div className="board sheet" ref={box} style={{ "--head": `${headPx}px` } as React.CSSProperties}>
        <div className="board-inner" style={{ width: headPx + axis.widthPx }}>
          <div className="axis">
            <div className="lane-head axis-head" />
            <div className="axis-track">
              {axis.spans.map(([start, end], index) => {
                const left = axis.x(start);
                const width = axis.x(end) - left;
                const date = localTime(view.timeZone, view.startsAtMs + start * 1000).date;
                const words = [
                  dateWords(date, true),
                  dateWords(date),
                  dateWords(date).split(" ").slice(0, 2).join(" "),
                ].find((one) => textWidth(one, "title") <= width - 8);
                const first =
                  index === 0 ||
                  localTime(view.timeZone, view.startsAtMs + axis.spans[index - 1]![0] * 1000).date !== date;
                return (
                  first &&
                  words !== undefined && (
                    <div key={start} className="axis-day" style={{ left, width }}>
                      <span>{words}</span>
                    </div>
                  )
                );
              })}
              {marks.map((mark) => (
                <span
                  key={mark.at}
                  className="axis-mark"
                  style={{
                    left: mark.x,
                    visibility: markFits(mark) ? undefined : "hidden",
                  }}
                >
                  {clockOfMinute(mark.minute)}
                </span>
              ))}
              {nowShown && (
                <span className="now-pill" style={{ left: Math.max(32, nowX) }}>
                  <span className="visually-hidden">now </span>
                  {nowClock}
                </span>
              )}
            </div>
          </div>
          <div className="board-lines" style={{ left: headPx, width: axis.widthPx }} aria-hidden>
            {marks.map((mark) => (
              <span key={mark.at} className="axis-line" style={{ left: mark.x }} />
            ))}
            {nowShown && <span className="now-line" style={{ left: nowX }} />}
          </div>
          {board.machines.map((lane, index) => {
            const machine = day.machines.get(lane.machineId);
            return (
              <div key={lane.machineId} className="lane lane-machine">
                <div className="lane-head">
                  <b>{machine?.name}</b>
                  <span className="quiet">
                    {machine && machine.needles > 0 ? `${machine.needles} needles` : "straight stitch"}
                  </span>
                </div>
                <div className="track" style={{ width: axis.widthPx }}>
                  <Off spans={offOf(view.open)} axis={axis} gaps={gapsIn} />
                  <div
                    {...laneCommon(
                      index,
                      `${machine?.name}, ${lane.blocks.length} ${lane.blocks.length === 1 ? "piece" : "pieces"}`,
                    )}
                  >
                    <MachineTrack
                      day={day}
                      lane={lane}
                      axis={axis}
                      nowS={nowS}
                      windowPx={windowPx}
                      activeJobId={lane.blocks[activeOf(lanes[index]!.stops, lanes[index]!.key)]?.jobId ?? ""}
                      whyDown={(start, end) => whyDown(lane.machineId, start, end)}
                    />
                  </div>
                </div>
              </div>
            );
          })}
          {board.hands.map((lane, place) => {
            const index = board.machines.length + place;
            const hand = day.hands.get(lane.handId);
            const own = groups.get(lane.handId) ?? [];
            return (
              <div key={lane.handId} className="lane lane-hand">
                <div className="lane-head">
                  <b>{hand?.name}</b>
                  {!narrow && <span className="quiet lane-skills">{hand?.skills.join(", ")}</span>}
                </div>
                <div className="track" style={{ width: axis.widthPx }}>
                  <Off spans={offOf(lane.shifts)} axis={axis} gaps={gapsIn} />
                  <div
                    {...laneCommon(
                      index,
                      `${hand?.name}, ${lane.tasks.length} ${lane.tasks.length === 1 ? "task" : "tasks"}${areSingle(axis) ? "" : ` in ${own.length} stretches of work`}`,
                    )}
                  >
                    <HandTrack
                      day={day}
                      handId={lane.handId}
                      groups={own}
                      axis={axis}
                      nowS={nowS}
                      windowPx={windowPx}
                      activeIndex={activeOf(lanes[index]!.stops, lanes[index]!.key)}
                    />
                  </div>
                </div>
              </div>
            );
          })}
        </div>
      </div>
      {tip && (
        <BoardTip
          place={tip}
          day={day}
          nowS={nowS}
          axis={axis}
          whyDown={whyDown}
          onEnter={() => window.clearTimeout(closing.current)}
          onLeave={hideTipSoon}
        />
      )}
      <Legend single={areSingle(axis)} />
    </section>
  );
}

function Off({
  spans,
  axis,
  gaps,
}: {
  readonly spans: readonly (readonly [number, number])[];
  readonly axis: { x: (seconds: number) => number };
  readonly gaps: readonly { readonly fromX: number; readonly toX: number }[];
}) {
  return (
    <div className="track-ground" aria-hidden>
      {spans.map(([start, end]) => {
        const width = axis.x(end) - axis.x(start);
        const words = `break, ${lengthWords(end - start)}`;
        return (
          <div key={start} className="off" style={{ left: axis.x(start), width }}>
            {end - start <= 5400 &&
              (textWidth(words, "small") + 12 <= width ? (
                <span>{words}</span>
              ) : (
                textWidth("break", "small") + 8 <= width && <span>break</span>
              ))}
          </div>
        );
      })}
      {gaps.map((gap) => (
        <div key={gap.fromX} className="closed" style={{ left: gap.fromX, width: gap.toX - gap.fromX }} />
      ))}
    </div>
  );
}

function Legend({ single }: { readonly single: boolean }) {
  return (
    <ul className="legend" aria-label="What the board's signs mean">
      <li>
        <span className="legend-hem" aria-hidden /> a piece: its colours in the order and length they sew
      </li>
      <li>
        <span className="legend-pin" aria-hidden /> threads to put on
      </li>
      <li>
        <span className="legend-down" aria-hidden /> machine away
      </li>
      {taskKinds.map((kind) => (
        <li key={kind}>
          <span className={`legend-task ${single ? "task-single" : "legend-bar"} do-${kind}`} aria-hidden>
            {single && <TaskSign kind={kind} />}
          </span>
          {taskWords[kind]}
        </li>
      ))}
    </ul>
  );
}
