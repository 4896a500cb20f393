import type { shapes } from "#contract";
import { clockOf, type FloorMachine, type Threading } from "./floor";
import { drawRule, type ListAsked, listPage, openList } from "./list-page";
import { drawArrow, drawCautions, drawHem, drawSpool, drawTickBox } from "./marks";
import { ink, mm, type Sheet } from "./sheet";
import { cautions, countWords } from "./wording";

export interface ThreadingAsked extends ListAsked {
  readonly machines: readonly FloorMachine[];
  readonly view: shapes.PlanView;
}

interface Moment {
  readonly at: Threading;
  readonly threadings: readonly Threading[];
}

/** One page or more for each machine: what is on its needles at the start, then every threading in running order. */
export async function threadingPdf(asked: ThreadingAsked): Promise<Uint8Array> {
  const sheet = openList(asked, "Threading list");
  for (const one of asked.machines) drawMachine(sheet, asked, one);
  return sheet.done();
}

/** Threadings of one stop belong together: same run, and all before it or at the same stop inside it. */
function momentsOf(threadings: readonly Threading[]): Moment[] {
  const moments: { at: Threading; threadings: Threading[] }[] = [];
  for (const threading of threadings) {
    const last = moments.at(-1);
    const stretches = threading.floorRun?.run.stretches ?? [];
    const stop = (one: Threading) => stretches.findIndex((stretch) => one.startS < stretch.start);
    if (last && last.at.floorRun === threading.floorRun && stop(last.at) === stop(threading))
      last.threadings.push(threading);
    else moments.push({ at: threading, threadings: [threading] });
  }
  return moments;
}

function drawMachine(sheet: Sheet, asked: ThreadingAsked, one: FloorMachine): void {
  const { margin, width, bottom, open } = listPage(sheet, asked, `Threading: ${one.machine.name}`, 14);
  const threads = new Map(asked.view.threads.map((thread) => [thread.id, thread]));
  let y = open();
  const moments = momentsOf(one.threadings);
  const mids = moments.filter((moment) => moment.at.insideRun).length;
  const summary =
    one.threadings.length === 0
      ? `Nothing to thread for ${countWords(one.runs.length, "run")}.`
      : `${countWords(one.threadings.length, "threading")} for ${countWords(one.runs.length, "run")}${mids > 0 ? `, ${countWords(mids, "mid-stop")}` : ""}`;
  sheet.write(summary, { x: margin, y, width, size: 11, colour: ink.second });
  y += mm(8);
  y += drawStartingNeedles(sheet, asked.view, one, { x: margin, y, width }) + mm(4);
  y += drawCautions(sheet, { x: margin, y, width, texts: [cautions.needle, cautions.lifting] }) + mm(5);

  for (const moment of moments) {
    const rowHeight = mm(8);
    const height = mm(11) + Math.ceil(moment.threadings.length) * rowHeight + mm(3);
    if (y + height > bottom) y = open();
    drawMoment(sheet, asked.view, moment, threads, { x: margin, y, width, rowHeight });
    y += height;
  }
}

/** The needles as they stand before the day's first threading, in their physical order. */
function drawStartingNeedles(
  sheet: Sheet,
  view: shapes.PlanView,
  one: FloorMachine,
  at: { x: number; y: number; width: number },
): number {
  const threads = new Map(view.threads.map((thread) => [thread.id, thread]));
  const on = [...one.machine.threaded];
  const firstOf = new Map<number, Threading>();
  for (const threading of one.threadings)
    if (!firstOf.has(threading.needle)) firstOf.set(threading.needle, threading);
  for (const [needle, threading] of firstOf) on[needle - 1] = threading.from;
  sheet.write("on the needles at the start", {
    x: at.x,
    y: at.y,
    width: at.width,
    size: 9,
    colour: ink.second,
  });
  const perRow = Math.min(10, Math.max(6, one.machine.needles));
  const cell = at.width / perRow;
  const rowHeight = mm(21);
  for (let needle = 1; needle <= one.machine.needles; needle++) {
    const x = at.x + ((needle - 1) % perRow) * cell;
    const y = at.y + 12 + Math.floor((needle - 1) / perRow) * rowHeight;
    const id = on[needle - 1] ?? null;
    const thread = id === null ? undefined : threads.get(id);
    const fixed = one.machine.fixed.includes(needle);
    sheet.write(`${needle}${fixed ? " fixed" : ""}`, {
      x,
      y,
      width: cell - 4,
      size: 11,
      least: 7,
      weight: "bold",
    });
    drawSpool(sheet, {
      x,
      y: y + 15,
      width: Math.min(cell - 8, mm(12)),
      height: mm(4.6),
      rgb: thread?.rgb ?? null,
    });
    sheet.write(thread?.code ?? "empty", {
      x,
      y: y + 30,
      width: cell - 3,
      size: 10,
      least: 7,
      weight: "bold",
      colour: thread ? ink.text : ink.second,
    });
    sheet.write(thread?.name ?? "", {
      x,
      y: y + 42,
      width: cell - 3,
      size: 8.5,
      least: 6,
      height: 21,
      colour: ink.second,
    });
  }
  return 12 + Math.ceil(one.machine.needles / perRow) * rowHeight;
}

function drawMoment(
  sheet: Sheet,
  view: shapes.PlanView,
  moment: Moment,
  threads: ReadonlyMap<string, shapes.PlanView["threads"][number]>,
  at: { x: number; y: number; width: number; rowHeight: number },
): void {
  const { floorRun, startS, insideRun, hand } = moment.at;
  const rgbOf = (id: string) => threads.get(id)?.rgb ?? ink.second;
  drawRule(sheet, at, 0.7);
  const y = at.y + mm(2);
  sheet.write(clockOf(view, startS), { x: at.x, y, width: mm(20), size: 17, weight: "bold" });
  const x = at.x + mm(22);
  if (floorRun) {
    const stretch = floorRun.run.stretches.find((one) => startS < one.start);
    const when = insideRun
      ? `mid-stop: thread before part ${(stretch?.from ?? 0) + 1}`
      : "thread before loading";
    const name = `${floorRun.order} · ${floorRun.job.title}`;
    const hemWidth = mm(42);
    sheet.write(name, {
      x,
      y: y + 1,
      width: at.width - mm(22) - hemWidth - mm(4),
      height: 18,
      size: 13,
      least: 8.5,
      weight: "semibold",
    });
    drawHem(sheet, {
      x: at.x + at.width - hemWidth,
      y: y + 2,
      width: hemWidth,
      height: mm(3.4),
      parts: floorRun.sewn.map((part) => ({ rgb: rgbOf(part.threadId), length: part.stitches })),
    });
    const under = [floorRun.job.pieceCode, `${floorRun.fileName}.dst`, hand].filter(Boolean).join(" · ");
    const whenWidth = sheet.measure(when, 9, "bold") + mm(3);
    sheet.write(when, {
      x,
      y: y + 17,
      width: whenWidth,
      size: 9,
      weight: "bold",
      colour: insideRun ? ink.change : ink.text,
    });
    sheet.write(under, {
      x: x + whenWidth,
      y: y + 17,
      width: at.width - mm(22) - whenWidth,
      size: 9,
      least: 7,
      colour: ink.second,
    });
  } else sheet.write(hand, { x, y: y + 1, width: mm(80), size: 13, weight: "semibold" });

  moment.threadings.forEach((threading, index) => {
    const rowY = at.y + mm(11.5) + index * at.rowHeight;
    const mid = rowY + at.rowHeight / 2;
    drawTickBox(sheet, { x, y: mid - mm(2.2), size: mm(4.4) });
    sheet.write(`needle ${threading.needle}`, {
      x: x + mm(7),
      y: mid - 8,
      width: mm(23),
      size: 13,
      weight: "bold",
    });
    const half = (at.width - mm(22) - mm(31) - mm(12)) / 2;
    drawThread(
      sheet,
      threading.from === null ? undefined : threads.get(threading.from),
      threading.from === null ? "empty" : null,
      { x: x + mm(31), mid, width: half, quiet: true },
    );
    drawArrow(sheet, { x: x + mm(31) + half + mm(1), y: mid, width: mm(7) });
    drawThread(sheet, threads.get(threading.to), null, {
      x: x + mm(31) + half + mm(11),
      mid,
      width: half,
      quiet: false,
    });
  });
}

function drawThread(
  sheet: Sheet,
  thread: shapes.PlanView["threads"][number] | undefined,
  instead: string | null,
  at: { x: number; mid: number; width: number; quiet: boolean },
): void {
  drawSpool(sheet, { x: at.x, y: at.mid - mm(2.2), width: mm(9), height: mm(4.4), rgb: thread?.rgb ?? null });
  const text = instead ?? (thread ? `${thread.code} ${thread.name}` : "unknown thread");
  const width = at.width - mm(11);
  const weight = at.quiet ? ("regular" as const) : ("bold" as const);
  const twoLines = sheet.measure(text, 11.5, weight) > width;
  sheet.write(text, {
    x: at.x + mm(11),
    y: at.mid - (twoLines ? 10 : 7),
    width,
    size: twoLines ? 8.5 : 11.5,
    least: 6.5,
    height: 21,
    weight,
    colour: at.quiet ? ink.second : ink.text,
  });
}
