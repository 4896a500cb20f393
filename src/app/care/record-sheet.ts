import { localTime } from "#core/shop";
import { drawRule, type ListAsked, listPage, openList } from "../paper/list-page";
import { ink, mm } from "../paper/sheet";
import { longDay } from "../paper/wording";
import type { KeptMachine } from "./meters";

interface RecordSheetAsked extends ListAsked {
  readonly machine: KeptMachine;
  readonly timeZone: string;
  readonly record: {
    readonly sentences: readonly string[];
    readonly lines: readonly { readonly atMs: number; readonly who: string; readonly what: string }[];
  };
}

/** A machine's record on paper: what it is, what it did and what was done to it, newest first. */
export async function recordPdf(asked: RecordSheetAsked): Promise<Uint8Array> {
  const { machine, record } = asked;
  const title = `Record of ${machine.name}`;
  const sheet = openList(asked, title);
  const { margin, width, bottom, open } = listPage(sheet, asked, title, 16);
  let y = open();
  const line = (text: string, size: number, colour: string = ink.text) => {
    const height = sheet.write(text, { x: margin, y, width, size, height: mm(30), colour });
    y += height + mm(1.5);
  };
  line(whatItIs(machine), 12);
  for (const sentence of record.sentences) line(sentence, 12);
  line("From this studio's own log; nothing in it was measured by the maker or a dealer.", 9.5, ink.second);
  y += mm(3);
  sheet.write("What was done", { x: margin, y, width, size: 14, weight: "bold" });
  y += mm(8);
  if (record.lines.length === 0) line("Nothing is noted yet.", 12, ink.second);
  for (const { atMs, who, what } of record.lines) {
    if (y + mm(9) > bottom) y = open() + mm(2);
    drawRule(sheet, { x: margin, y, width });
    const day = longDay(localTime(asked.timeZone, atMs).date);
    sheet.write(day, { x: margin, y: y + 5, width: width * 0.24, size: 10, least: 8, colour: ink.second });
    sheet.write(what, { x: margin + width * 0.25, y: y + 4, width: width * 0.55, size: 11.5, least: 8 });
    sheet.write(who, {
      x: margin + width * 0.81,
      y: y + 5,
      width: width * 0.19,
      size: 10,
      least: 7,
      colour: ink.second,
      align: "right",
    });
    y += mm(8);
  }
  return sheet.done();
}

function whatItIs(machine: KeptMachine): string {
  const kind =
    machine.kind === "straight-stitch"
      ? "Straight-stitch machine"
      : `Embroidery machine with ${machine.needles.length} needles, field ${machine.fieldWidthMm} × ${machine.fieldHeightMm} mm`;
  const bought = machine.bought ? `, bought ${longDay(machine.bought.on)}` : "";
  return `${kind}${bought}.`;
}
