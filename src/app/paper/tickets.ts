import { setImmediate } from "node:timers/promises";
import type { shapes } from "#contract";
import type { Stitches } from "#core/stitch";
import { clockOf, type FloorRun } from "./floor";
import { drawCautions, drawHem, drawQr, isLight, lineCount } from "./marks";
import { drawNeedleMap } from "./needle-map";
import { drawDesign } from "./picture";
import { ink, mm, openSheet, type PaperName, type Sheet } from "./sheet";
import { shortDay, sizeWords, ticketCautions } from "./wording";

/** One job ticket: a run of a piece on a machine, with what the person at the hoop and the machine needs to know. */
export interface Ticket {
  readonly floorRun: FloorRun;
  readonly design: Stitches | null;
  readonly hoopKind: "magnetic" | "screw" | null;
  /** Where the QR code leads. */
  readonly address: string;
}

export interface TicketsAsked {
  readonly tickets: readonly Ticket[];
  readonly view: shapes.PlanView;
  readonly studioName: string;
  readonly lengthUnit: "mm" | "inch";
  readonly paper: PaperName;
  readonly nowMs: number;
}

/** Needle rows that still read well on half a page; a run with more takes a page of its own. */
const ROWS_ON_HALF = 12;
const PARTS_ON_HALF = 26;

/** The tickets as a PDF, two a page; a design with very many colours has a page to itself. */
export async function ticketsPdf(asked: TicketsAsked): Promise<Uint8Array> {
  const sheet = openSheet({
    paper: asked.paper,
    title: "Job tickets",
    author: asked.studioName,
    nowMs: asked.nowMs,
  });
  const margin = mm(11);
  const half = sheet.heightPt / 2;
  let at: "top" | "bottom" = "top";
  for (const ticket of asked.tickets) {
    const { needles, sewn } = ticket.floorRun;
    const whole = needles.length > ROWS_ON_HALF || sewn.length > PARTS_ON_HALF;
    if (at === "top" || whole) sheet.addPage();
    const top = whole || at === "top" ? margin : half + mm(8);
    const bottom = whole || at === "bottom" ? sheet.heightPt - margin : half - mm(8);
    drawTicket(sheet, asked, ticket, {
      x: margin,
      y: top,
      width: sheet.widthPt - 2 * margin,
      height: bottom - top,
    });
    // A long pile of tickets must not keep others waiting.
    await setImmediate();
    if (whole) at = "top";
    else {
      if (at === "top") drawCutLine(sheet, half);
      at = at === "top" ? "bottom" : "top";
    }
  }
  return sheet.done();
}

function drawCutLine(sheet: Sheet, y: number): void {
  sheet.doc
    .save()
    .lineWidth(0.5)
    .dash(2, { space: 3 })
    .moveTo(0, y)
    .lineTo(sheet.widthPt, y)
    .strokeColor(ink.second)
    .stroke()
    .undash()
    .restore();
}

interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

function drawTicket(sheet: Sheet, asked: TicketsAsked, ticket: Ticket, place: Place): void {
  const { floorRun } = ticket;
  const { job } = floorRun;
  const threads = new Map(asked.view.threads.map((thread) => [thread.id, thread]));
  const rgbOf = (id: string) => threads.get(id)?.rgb ?? ink.second;
  const bottom = place.y + place.height;

  drawHem(sheet, {
    ...place,
    height: mm(5),
    parts: floorRun.sewn.map((part) => ({ rgb: rgbOf(part.threadId), length: part.stitches })),
  });
  const headY = place.y + mm(8.2);
  drawHead(sheet, asked, floorRun, { ...place, y: headY });

  const texts = ticketCautions(floorRun, ticket.hoopKind, job);
  const cautionHeight = drawCautions(sheet, { ...place, texts, draw: false });
  drawCautions(sheet, { x: place.x, y: bottom - cautionHeight, width: place.width, texts });
  const why = job.why.trim() === "" ? "" : `Why here: ${job.why.trim()}`;
  const whyLines = why === "" ? 0 : Math.min(2, lineCount(sheet, why, place.width, 8.5, "regular"));
  const whyTop = bottom - cautionHeight - mm(1.6) - whyLines * 8.5 * 1.2;
  sheet.write(why, {
    x: place.x,
    y: whyTop,
    width: place.width,
    size: 8.5,
    least: 7,
    height: whyLines * 10.3,
    colour: ink.second,
  });

  const bodyTop = headY + mm(14);
  const bodyBottom = whyTop - mm(2);
  const left = mm(60);
  drawPictureColumn(
    sheet,
    asked,
    ticket,
    { x: place.x, y: bodyTop, width: left, height: bodyBottom - bodyTop },
    rgbOf,
  );

  const x = place.x + left + mm(5);
  const width = place.width - left - mm(5);
  let y = bodyTop;
  const large = job.personalText.trim() === "" ? job.designName : job.personalText;
  y +=
    Math.max(
      mm(11),
      sheet.write(large, { x, y: y - mm(1), width, height: mm(17), size: 34, least: 8, weight: "bold" }),
    ) + mm(0.5);
  y +=
    sheet.write(job.product, { x, y, width, height: mm(10), size: 13, least: 9, weight: "semibold" }) +
    mm(0.3);
  const spot = [job.placement, job.where].filter((text) => text.trim() !== "").join(": ");
  y += sheet.write(spot, { x, y, width, height: mm(13), size: 10.5, least: 8 }) + mm(2.5);

  const factsWidth = mm(50);
  drawFacts(sheet, floorRun, { x, y, width: factsWidth, height: bodyBottom - y });
  drawNeedleMap(sheet, asked.view, floorRun, {
    x: x + factsWidth + mm(4),
    y,
    width: width - factsWidth - mm(4),
    height: bodyBottom - y,
  });
}

/** Place in the day, machine, planned time; the machine file at the right. */
function drawHead(sheet: Sheet, asked: TicketsAsked, floorRun: FloorRun, place: Place): void {
  const { view } = asked;
  const number = String(floorRun.order);
  const box = mm(11);
  sheet.doc
    .save()
    .roundedRect(place.x, place.y, Math.max(box, sheet.measure(number, 22, "bold") + mm(4)), box, 4)
    .fill(ink.text)
    .restore();
  const boxWidth = Math.max(box, sheet.measure(number, 22, "bold") + mm(4));
  sheet.write(number, {
    x: place.x,
    y: place.y + mm(1),
    width: boxWidth,
    size: 22,
    weight: "bold",
    colour: ink.white,
    align: "center",
  });

  const fileWidth = mm(52);
  const x = place.x + boxWidth + mm(3.5);
  const width = place.width - boxWidth - mm(3.5) - fileWidth - mm(4);
  const time = `${clockOf(view, floorRun.startS)}–${clockOf(view, floorRun.endS)}`;
  sheet.write(`${floorRun.machine.name}  ${time}`, {
    x,
    y: place.y - mm(0.4),
    width,
    size: 18,
    least: 10,
    weight: "bold",
    height: mm(7.5),
  });
  const hooping =
    floorRun.hooping &&
    `hooping from ${clockOf(view, floorRun.hooping.startS)}${floorRun.hooping.hand === "" ? "" : ` (${floorRun.hooping.hand})`}`;
  sheet.write([shortDay(floorRun.day), hooping].filter(Boolean).join("  ·  "), {
    x,
    y: place.y + mm(7),
    width,
    size: 10,
    least: 8,
    height: mm(5),
    colour: ink.second,
  });
  const fileX = place.x + place.width - fileWidth;
  sheet.write(`${floorRun.fileName}.dst`, {
    x: fileX,
    y: place.y - mm(0.4),
    width: fileWidth,
    size: 18,
    least: 12,
    weight: "bold",
    align: "right",
  });
  sheet.write("machine file", {
    x: fileX,
    y: place.y + mm(7),
    width: fileWidth,
    size: 10,
    colour: ink.second,
    align: "right",
  });
}

function drawPictureColumn(
  sheet: Sheet,
  asked: TicketsAsked,
  ticket: Ticket,
  place: Place,
  rgbOf: (id: string) => string,
): void {
  const { job, sewn } = ticket.floorRun;
  const qr = mm(29);
  const caption = mm(5);
  const box = {
    x: place.x,
    y: place.y,
    width: place.width,
    height: Math.min(place.width * 1.35, place.height - qr - caption - mm(2.5)),
  };
  // Light thread is not seen on white paper: it is shown on a darker ground, as it will be on the cloth.
  const ground = sewn.some((part) => isLight(rgbOf(part.threadId))) ? ink.underLight : ink.white;
  sheet.doc
    .save()
    .lineWidth(0.7)
    .roundedRect(box.x, box.y, box.width, box.height, 4)
    .fillAndStroke(ground, ink.hairline)
    .restore();
  const pad = mm(3);
  const drawn =
    ticket.design &&
    drawDesign(sheet, {
      x: box.x + pad,
      y: box.y + pad,
      width: box.width - 2 * pad,
      height: box.height - 2 * pad,
      design: ticket.design,
      colours: sewn.map((part) => rgbOf(part.threadId)),
    });
  const stitches = sewn.reduce((sum, part) => sum + part.stitches, 0);
  const words = drawn
    ? `${sizeWords(drawn.widthMm, drawn.heightMm, asked.lengthUnit)} · ${stitches.toLocaleString("en")} stitches${drawn.scale > 0.995 ? " · true size" : ""}`
    : "no picture: the design has no stitches here";
  sheet.write(words, {
    x: box.x,
    y: box.y + box.height + mm(1),
    width: box.width,
    size: 8.5,
    least: 7,
    height: caption,
    colour: ink.second,
  });

  const y = box.y + box.height + caption + mm(2.5);
  drawQr(sheet, { x: place.x - mm(1.5), y: y + mm(1), size: qr, text: ticket.address });
  const x = place.x + qr + mm(1);
  const width = place.width - qr - mm(1);
  sheet.write(job.pieceCode, {
    x,
    y: y + mm(4),
    width,
    height: mm(12),
    size: 13,
    least: 8,
    weight: "semibold",
  });
  sheet.write("piece", { x, y: y + mm(1), width, size: 8, colour: ink.second });
  sheet.write(job.designName, { x, y: y + mm(18), width, height: mm(9), size: 9, least: 7 });
  sheet.write("design", { x, y: y + mm(15), width, size: 8, colour: ink.second });
}

function drawFacts(sheet: Sheet, floorRun: FloorRun, place: Place): void {
  const { job } = floorRun;
  const late = floorRun.day > job.shipBy;
  const halfWidth = place.width / 2 - mm(1);
  const dates = { x: place.x, y: place.y, width: halfWidth };
  sheet.write(late ? "ship by: late" : "ship by", {
    ...dates,
    size: 8,
    weight: late ? "bold" : "regular",
    colour: late ? ink.late : ink.second,
  });
  sheet.write(shortDay(job.shipBy), {
    ...dates,
    y: place.y + 9,
    size: 13,
    least: 9,
    weight: "bold",
    colour: late ? ink.late : ink.text,
  });
  sheet.write("promised", { ...dates, x: dates.x + place.width / 2 + mm(1), size: 8, colour: ink.second });
  sheet.write(shortDay(job.promiseDate), {
    ...dates,
    x: dates.x + place.width / 2 + mm(1),
    y: place.y + 10,
    size: 11,
    least: 8,
    weight: "semibold",
  });

  const facts: readonly (readonly [label: string, value: string])[] = [
    ["order", [job.orderReference, job.customer].filter(Boolean).join(" · ")],
    ["hoop", floorRun.hoop === null ? "none" : `${floorRun.hoop.name}, no. ${floorRun.hoop.number}`],
    ["backing", job.backing ?? "none"],
    ["topping", job.topping ?? "none"],
    ["needle", job.needleAdvice],
  ];
  // Most facts are short and stand beside their label; the space they leave goes between the rows.
  const labelWidth = mm(13);
  const valueWidth = place.width - labelWidth;
  const top = place.y + mm(11);
  const room = place.y + place.height - top;
  const sizes = [11, 10, 9, 8, 7.5];
  const heightAt = (size: number) =>
    facts.reduce(
      (sum, [, value]) => sum + Math.min(3, lineCount(sheet, value, valueWidth, size)) * size * 1.2,
      0,
    );
  const size = sizes.find((one) => heightAt(one) + (facts.length - 1) * mm(1.2) <= room) ?? 7.5;
  const gap = Math.max(0, Math.min(mm(3.6), (room - heightAt(size)) / facts.length));
  let y = top;
  for (const [label, value] of facts) {
    sheet.write(label, {
      x: place.x,
      y: y + (size - 8.5) * 0.9,
      width: labelWidth,
      size: 8.5,
      colour: ink.second,
    });
    const lines = Math.min(3, lineCount(sheet, value, valueWidth, size));
    sheet.write(value, {
      x: place.x + labelWidth,
      y,
      width: valueWidth,
      height: lines * size * 1.2 + 1,
      size,
      least: 7,
      weight: "semibold",
    });
    y += lines * size * 1.2 + gap;
  }
}
