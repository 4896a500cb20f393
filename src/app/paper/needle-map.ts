import type { shapes } from "#contract";
import type { FloorRun, NeedleUse } from "./floor";
import { drawSpool, lineCount } from "./marks";
import { ink, mm, type Sheet } from "./sheet";
import { countWords } from "./wording";

/** The needle map of a ticket: which thread is on which needle, and what is to be threaded. Measures are points. */

interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Sewing order as needle numbers, then each needle with its spool and what is to be done there. */
export function drawNeedleMap(sheet: Sheet, view: shapes.PlanView, floorRun: FloorRun, place: Place): void {
  const threads = new Map(view.threads.map((thread) => [thread.id, thread]));
  let y = place.y;
  sheet.write(`needles in sewing order, ${countWords(floorRun.sewn.length, "part")}`, {
    ...place,
    height: 10,
    y,
    size: 8,
    colour: ink.second,
  });
  y += 11;
  const chip = mm(5.6);
  let x = place.x;
  const gap = mm(0.7);
  for (const part of floorRun.sewn) {
    if (x + chip > place.x + place.width + 0.1) {
      x = place.x;
      y += chip + gap;
    }
    const rgb = threads.get(part.threadId)?.rgb ?? ink.second;
    sheet.doc
      .save()
      .lineWidth(0.6)
      .roundedRect(x, y, chip, chip, 2)
      .fillAndStroke(ink.white, ink.second)
      .restore();
    sheet.doc
      .save()
      .roundedRect(x, y, chip, chip, 2)
      .clip()
      .rect(x, y + chip - mm(1.4), chip, mm(1.4))
      .fill(rgb)
      .restore();
    sheet.write(String(part.needle), {
      x,
      y: y + mm(0.25),
      width: chip,
      size: 10,
      weight: "bold",
      align: "center",
    });
    x += chip + gap;
  }
  y += chip + mm(2.6);

  const rows = floorRun.needles;
  const row = Math.min(mm(8.4), (place.y + place.height - y) / Math.max(1, rows.length));
  const text = Math.min(12, row * 0.6);
  for (const use of rows) {
    drawNeedleRow(
      sheet,
      threads.get(use.threadId),
      use,
      { x: place.x, y, width: place.width, height: row },
      text,
    );
    y += row;
  }
}

function drawNeedleRow(
  sheet: Sheet,
  thread: shapes.PlanView["threads"][number] | undefined,
  use: NeedleUse,
  place: Place,
  size: number,
): void {
  const mustThread = use.when !== "already";
  const textY = place.y + (place.height - size * 1.2) / 2;
  if (mustThread) {
    sheet.doc
      .save()
      .lineWidth(1.1)
      .roundedRect(place.x - mm(0.6), place.y + 0.8, place.width + mm(0.6), place.height - 1.6, 2.5)
      .strokeColor(ink.change)
      .stroke()
      .restore();
  }
  const numberWidth = mm(6.5);
  sheet.write(String(use.needle), {
    x: place.x,
    y: textY - size * 0.1,
    width: numberWidth,
    size: size * 1.2,
    weight: "bold",
    align: "center",
  });
  const spool = mm(7);
  const spoolHeight = Math.min(mm(4.2), place.height - 3.5);
  drawSpool(sheet, {
    x: place.x + numberWidth + mm(0.5),
    y: place.y + (place.height - spoolHeight) / 2,
    width: spool,
    height: spoolHeight,
    rgb: thread?.rgb ?? null,
  });
  const doing =
    use.when === "already" ? "" : use.when === "before" ? "thread" : `stop, part ${(use.part ?? 0) + 1}`;
  const doingWidth = doing === "" ? 0 : sheet.measure(doing, size * 0.9, "bold") + mm(1.5);
  const x = place.x + numberWidth + spool + mm(2);
  const width = place.x + place.width - x - doingWidth;
  const code = thread?.code ?? "?";
  const codeWidth = sheet.measure(code, size, "bold") + mm(1.3);
  sheet.write(code, { x, y: textY, width, size, weight: "bold" });
  writeMiddle(sheet, thread?.name ?? "unknown thread", {
    x: x + codeWidth,
    y: place.y,
    width: width - codeWidth,
    height: place.height,
    size,
  });
  if (doing !== "") {
    sheet.write(doing, {
      x: place.x + place.width - doingWidth,
      y: textY + size * 0.06,
      width: doingWidth - mm(0.8),
      size: size * 0.9,
      weight: "bold",
      colour: ink.change,
      align: "right",
    });
  }
}

/** A name on one line or two, in the middle of its row. */
function writeMiddle(sheet: Sheet, text: string, at: Place & { size: number }): void {
  const oneLine = sheet.measure(text, at.size) <= at.width;
  const size = oneLine ? at.size : Math.min(at.size, at.height / 2.5);
  const lines = oneLine ? 1 : Math.min(2, lineCount(sheet, text, at.width, size, "regular"));
  sheet.write(text, {
    x: at.x,
    y: at.y + (at.height - lines * size * 1.2) / 2,
    width: at.width,
    height: lines * size * 1.2 + 0.5,
    size,
    least: 5.5,
  });
}
