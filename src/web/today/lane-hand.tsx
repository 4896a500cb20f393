import { type BoardTask, groupTasks, joinLikeTasks, type TaskGroup, type TimeAxis } from "#drawing";
import { memo } from "react";
import { type Day, timeWords } from "./day";
import { textWidth } from "./measure";
import { telling } from "./next-thing";
import { taskKinds, TaskSign, taskWords } from "./task-look";

/** From this scale on a hooping of 45 s is wide enough for its sign: tasks stand singly. */
const SINGLE_FROM_PX_PER_S = 0.24;

/** A hand's tasks as they are drawn at a scale: single tasks near by, calm bars far off. */
export function handGroups(tasks: readonly BoardTask[], axis: TimeAxis): readonly TaskGroup[] {
  return SINGLE_FROM_PX_PER_S <= axis.pxPerS
    ? joinLikeTasks(tasks)
    : groupTasks(tasks, Math.max(120, 12 / axis.pxPerS));
}

export const areSingle = (axis: TimeAxis): boolean => SINGLE_FROM_PX_PER_S <= axis.pxPerS;

/** "3 × thread, hoop, 2 × load": what a bar holds. */
export function groupWords(day: Day, group: TaskGroup): string {
  const first = group.tasks[0]!;
  if (first.do === "chore") return telling(day, group);
  return taskKinds
    .map((kind) => ({ kind, count: group.tasks.filter((task) => task.do === kind).length }))
    .filter(({ count }) => count > 0)
    .map(({ kind, count }) => (count === 1 ? taskWords[kind] : `${count} × ${taskWords[kind]}`))
    .join(", ");
}

/** Shares of a bar's time by kind, for the fine line at its foot. */
function shares(group: TaskGroup): { kind: BoardTask["do"]; seconds: number }[] {
  return taskKinds
    .map((kind) => ({
      kind,
      seconds: group.tasks
        .filter((task) => task.do === kind)
        .reduce((sum, task) => sum + task.end - task.start, 0),
    }))
    .filter(({ seconds }) => seconds > 0);
}

export interface HandLook {
  readonly day: Day;
  readonly handId: string;
  readonly groups: readonly TaskGroup[];
  readonly axis: TimeAxis;
  readonly nowS: number;
  readonly windowPx: readonly [number, number];
  readonly activeIndex: number;
}

export const groupId = (handId: string, group: TaskGroup): string => `hand-${handId}-${group.start}`;

interface TaskLook {
  readonly day: Day;
  readonly handId: string;
  readonly group: TaskGroup;
  readonly axis: TimeAxis;
  readonly over: boolean;
  /** Now to the hour. */
  readonly hourS: number;
  readonly active: boolean;
  readonly index: number;
  readonly count: number;
}

const TaskView = memo(function TaskView({
  day,
  handId,
  group,
  axis,
  over,
  hourS,
  active,
  index,
  count,
}: TaskLook) {
  const single = areSingle(axis);
  const left = axis.x(group.start);
  const right = axis.x(group.end);
  const first = group.tasks[0]!;
  const kind = first.do;
  // Bars stand at least 12 px apart, so a little more width hides nothing.
  const width = Math.max(single ? 3 : 9, right - left - 1);
  const chore = kind === "chore";
  const title = day.jobs.get(first.job ?? "")?.title ?? "";
  const fits = (words: string, more: number) => textWidth(words, "small") + more <= width;
  const action =
    kind === "thread" && group.tasks.length > 1
      ? `thread ${group.tasks.length}`
      : chore
        ? (day.chores.get(first.chore ?? "")?.title ?? taskWords.chore)
        : taskWords[kind];
  const said = single || chore ? telling(day, group) : groupWords(day, group);
  return (
    <div
      id={groupId(handId, group)}
      role="option"
      aria-selected={active}
      aria-posinset={index + 1}
      aria-setsize={count}
      aria-label={`${timeWords(day.view, group.start, hourS)} to ${timeWords(day.view, group.end, hourS)}, ${said}`}
      data-tip={`hand ${handId} ${index}`}
      className={`task ${single || chore ? `task-single do-${kind}` : "task-bar"} ${over ? "task-over" : ""} ${active ? "block-active" : ""}`}
      style={{ left, width }}
    >
      {single || chore ? (
        <>
          {width >= 16 && <TaskSign kind={kind} />}
          {fits(`${action} ${title}`, 30) && title !== "" ? (
            <span>{`${action} ${title}`}</span>
          ) : fits(action, 28) ? (
            <span>{action}</span>
          ) : null}
        </>
      ) : (
        <>
          {fits(`${group.tasks.length} tasks`, 10) ? (
            <span className="task-count">
              {group.tasks.length === 1 ? "1 task" : `${group.tasks.length} tasks`}
            </span>
          ) : null}
          <span className="task-shares">
            {shares(group).map((share) => (
              <span key={share.kind} className={`do-${share.kind}`} style={{ flexGrow: share.seconds }} />
            ))}
          </span>
        </>
      )}
    </div>
  );
});

/** What one person does. */
export function HandTrack({ day, handId, groups, axis, nowS, windowPx: [from, to], activeIndex }: HandLook) {
  return groups.map((group, index) => {
    const active = index === activeIndex;
    if (!active && (axis.x(group.end) < from || to < axis.x(group.start))) return null;
    const first = group.tasks[0]!;
    return (
      <TaskView
        key={`${group.start} ${first.do} ${first.job ?? first.chore}`}
        day={day}
        handId={handId}
        group={group}
        axis={axis}
        over={group.end <= nowS}
        hourS={Math.floor(nowS / 3600) * 3600}
        active={active}
        index={index}
        count={groups.length}
      />
    );
  });
}
