import { ink, mm, openSheet, type PaperName, type Sheet } from "./sheet";
import { longDay } from "./wording";

/** What every list for the floor is made from. */
export interface ListAsked {
  /** YYYY-MM-DD in the studio's zone. */
  readonly day: string;
  readonly studioName: string;
  readonly paper: PaperName;
  readonly nowMs: number;
}

/** The frame of a list's pages, in points from the top left. */
export interface ListPage {
  readonly margin: number;
  readonly width: number;
  /** Nothing of the list is drawn below this. */
  readonly bottom: number;
  /** Begins a page under the list's title, the day and the studio's name; gives where its rows begin. */
  readonly open: () => number;
}

/** An empty document for a list. */
export const openList = (asked: ListAsked, title: string): Sheet =>
  openSheet({ paper: asked.paper, title, author: asked.studioName, nowMs: asked.nowMs });

/** The pages of one list: those after the first say that they go on. `footMm` is kept free at the bottom. */
export function listPage(sheet: Sheet, asked: ListAsked, title: string, footMm: number): ListPage {
  const margin = mm(14);
  const width = sheet.widthPt - 2 * margin;
  const right = { x: margin + width * 0.64, width: width * 0.36, align: "right" } as const;
  let page = 0;
  return {
    margin,
    width,
    bottom: sheet.heightPt - mm(footMm),
    open: () => {
      sheet.addPage();
      page++;
      const words = page > 1 ? `${title}, continued` : title;
      sheet.write(words, { x: margin, y: margin, width: width * 0.62, size: 24, least: 12, weight: "bold" });
      sheet.write(longDay(asked.day), { ...right, y: margin + 3, size: 12, least: 9, weight: "semibold" });
      sheet.write(asked.studioName, { ...right, y: margin + 19, size: 10, least: 8, colour: ink.second });
      return margin + mm(13);
    },
  };
}

/** The line above a row. */
export function drawRule(sheet: Sheet, at: { x: number; y: number; width: number }, lineWidth = 0.6): void {
  sheet.doc
    .save()
    .lineWidth(lineWidth)
    .moveTo(at.x, at.y)
    .lineTo(at.x + at.width, at.y)
    .strokeColor(ink.hairline)
    .stroke()
    .restore();
}
