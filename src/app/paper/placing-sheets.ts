import {
  gridSheet,
  MARKER_CELLS,
  MARKER_COUNT,
  markerCells,
  SHEET_FIRST_ID,
  stickerSideMm,
} from "#core/placing";
import { drawCautions } from "./marks";
import { ink, mm, openSheet, type PaperName, type Sheet } from "./sheet";

/**
 * The two sheets that placing is printed from: stickers for one hoop, and the grid sheet that hoops and phones are
 * taught on. What matters is true scale: every measure here is mm put into PDF points once, nothing is fitted.
 */

export interface PlacingSheetAsked {
  readonly studioName: string;
  readonly paper: PaperName;
  readonly nowMs: number;
}

export interface MarkersAsked extends PlacingSheetAsked {
  readonly hoopName: string;
  readonly label: string;
  readonly isMagnetic: boolean;
  readonly markerIds: readonly number[];
  readonly sideMm: number;
}

const FREE_MM = 6;
const MARGIN_MM = 15;
/** The least ink that prints everywhere: a hairline of 0.2 mm. */
const HAIRLINE_PT = mm(0.2);

/** Where stickers go, in their order: corners first, then the middles of the sides. */
export const STICKER_PLACES = [
  "left, away from you",
  "right, away from you",
  "right, towards you",
  "left, towards you",
  "middle, away from you",
  "right, middle",
  "middle, towards you",
  "left, middle",
] as const;

/** Stickers of one hoop, twice (one set to spare), with cut lines, a ruler of 100 mm, and which id goes where. */
export function markersPdf(asked: MarkersAsked): Promise<Uint8Array> {
  const sheet = openSheet({ ...asked, title: `Markers of ${asked.label}`, author: asked.studioName });
  sheet.addPage();
  const left = mm(MARGIN_MM);
  const width = sheet.widthPt - 2 * left;
  let y = mm(MARGIN_MM);
  const line = (text: string, size: number, weight: "regular" | "semibold" | "bold", gapMm: number) => {
    y += sheet.write(text, { x: left, y, width, size, weight, height: size * 1.2 * 4 }) + mm(gapMm);
  };
  line(`Markers of hoop ${asked.label}`, 20, "bold", 1);
  line(`${asked.hoopName} · ${asked.studioName}`, 11, "regular", 4);
  line(
    "Print at 100 % (actual size), without fitting to the page. Measure the line below: it must be 100 mm. Cut along the broken lines and stick each marker flat onto the rim, where a photo from above sees it whole. Which way up it lies does not matter. Then teach the hoop once on the grid sheet.",
    11,
    "regular",
    5,
  );
  drawRuler(sheet, { x: left, y: y + mm(2), lengthMm: 100, along: "x" });
  y += mm(14);
  for (const set of ["to stick", "to spare"]) {
    line(`Set ${set}`, 11, "semibold", 2);
    y = drawStickers(sheet, asked, { left, width, y });
  }
  drawCautions(sheet, {
    x: left,
    y: sheet.heightPt - mm(MARGIN_MM) - mm(14),
    width,
    texts: [
      "Stick markers on with the hoop off the machine, power off and hands clear of the needles; no edge of a sticker may stand over the inner edge.",
      ...(asked.isMagnetic
        ? [
            "Magnetic hoops pinch and can disturb implanted medical devices: keep them away from anyone who has one, and from cards and phones.",
          ]
        : []),
    ],
  });
  return sheet.done();
}

const STICKER_GAP_MM = 24;

function drawStickers(
  sheet: Sheet,
  { markerIds, sideMm }: MarkersAsked,
  at: { readonly left: number; readonly width: number; readonly y: number },
): number {
  const paper = mm(stickerSideMm(sideMm));
  const step = paper + mm(STICKER_GAP_MM);
  const columns = Math.max(1, Math.floor((at.width + mm(STICKER_GAP_MM)) / step));
  const rowHeight = paper + mm(14);
  markerIds.forEach((id, place) => {
    const x = at.left + (place % columns) * step;
    const y = at.y + Math.floor(place / columns) * rowHeight;
    drawMarker(sheet, id, { x: x + paper / 2, y: y + paper / 2 }, mm(sideMm));
    const { doc } = sheet;
    doc
      .save()
      .lineWidth(HAIRLINE_PT)
      .dash(mm(1.5), { space: mm(1) });
    doc.rect(x, y, paper, paper).strokeColor(ink.second).stroke().undash().restore();
    sheet.write(`${id} · ${STICKER_PLACES[place] ?? "anywhere on the rim"}`, {
      x,
      y: y + paper + mm(1),
      width: step - mm(2),
      size: 9,
      height: 22,
      colour: ink.second,
    });
  });
  return at.y + Math.ceil(markerIds.length / columns) * rowHeight;
}

/** A4 or Letter full of markers, with a ruler each way: what hoops and lenses are taught on. */
export function gridSheetPdf(asked: PlacingSheetAsked): Promise<Uint8Array> {
  const sheet = openSheet({ ...asked, title: "Grid sheet", author: asked.studioName });
  sheet.addPage();
  const grid = gridOf(asked.paper);
  const toPt = ({ xMm, yMm }: { readonly xMm: number; readonly yMm: number }) => ({
    x: sheet.widthPt / 2 + mm(xMm),
    y: sheet.heightPt / 2 - mm(yMm),
  });
  for (const marker of grid.markers) drawMarker(sheet, marker.id, toPt(marker.centre), mm(marker.sideMm));
  grid.rulers.forEach((ruler) => {
    const from = toPt(ruler.from);
    const along = Math.abs(ruler.to.xMm - ruler.from.xMm) > Math.abs(ruler.to.yMm - ruler.from.yMm);
    drawRuler(sheet, { ...from, lengthMm: ruler.lengthMm, along: along ? "x" : "y" });
  });
  const first = grid.markers[0]!;
  sheet.write("Print at 100 % and measure both lines. Lay flat; do not fold.", {
    ...toPt({
      xMm: first.centre.xMm - first.sideMm / 2,
      yMm: first.centre.yMm + first.sideMm / 2 + grid.pitchMm / 4,
    }),
    width: sheet.widthPt - mm(2 * MARGIN_MM),
    size: 9,
    height: 12,
    colour: ink.second,
  });
  return sheet.done();
}

/** ISO 216 A4; ANSI A (Letter) 8.5 × 11 in. */
const PAPER_MM = { A4: [210, 297], Letter: [215.9, 279.4] } as const;

/** The grid sheet of a paper: the printer and whoever reads a photo of it must mean the same. */
export function gridOf(paper: PaperName): ReturnType<typeof gridSheet> {
  const [widthMm, heightMm] = PAPER_MM[paper];
  return gridSheet({
    widthMm,
    heightMm,
    freeMm: FREE_MM,
    firstId: SHEET_FIRST_ID,
    count: MARKER_COUNT - SHEET_FIRST_ID,
  });
}

/** A marker about its middle, the outer edge of its dark ring `side` points long. Dark cells are one filled path. */
function drawMarker(
  sheet: Sheet,
  id: number,
  at: { readonly x: number; readonly y: number },
  side: number,
): void {
  const { doc } = sheet;
  const cells = markerCells(id);
  const cell = side / MARKER_CELLS;
  const isDark = (row: number, column: number) =>
    row < MARKER_CELLS && column < MARKER_CELLS && cells[row * MARKER_CELLS + column] === 1;
  doc.save();
  for (let row = 0; row < MARKER_CELLS; row++)
    for (let column = 0; column < MARKER_CELLS; column++) {
      if (!isDark(row, column)) continue;
      const x = at.x - side / 2 + column * cell;
      const y = at.y - side / 2 + row * cell;
      // Two cells that touch are also drawn as one, so that no renderer shows a seam; the outline stays true.
      if (isDark(row, column + 1)) doc.rect(x, y, 2 * cell, cell);
      if (isDark(row + 1, column)) doc.rect(x, y, cell, 2 * cell);
      doc.rect(x, y, cell, cell);
    }
  doc.fill("#000000").restore();
}

/** A line of exact length with ticks every 10 mm, and its length in figures. */
function drawRuler(
  sheet: Sheet,
  at: { readonly x: number; readonly y: number; readonly lengthMm: number; readonly along: "x" | "y" },
): void {
  const { doc } = sheet;
  const isAcross = at.along === "x";
  const place = (along: number, off: number): [number, number] =>
    isAcross ? [at.x + mm(along), at.y + mm(off)] : [at.x + mm(off), at.y - mm(along)];
  doc.save().lineWidth(HAIRLINE_PT).strokeColor("#000000");
  doc.moveTo(...place(0, 0)).lineTo(...place(at.lengthMm, 0));
  for (let tick = 0; tick <= at.lengthMm; tick += 10) {
    const reach = tick === 0 || tick === at.lengthMm ? 2 : 1;
    doc.moveTo(...place(tick, -reach)).lineTo(...place(tick, reach));
  }
  doc.stroke().restore();
  const words = `${at.lengthMm} mm`;
  const [x, y] = place(at.lengthMm, 0);
  if (isAcross) sheet.write(words, { x: x - mm(30), y: y + mm(2.2), width: mm(30), size: 8, align: "right" });
  else sheet.write(words, { x: x + mm(1.5), y: y - mm(4), width: mm(20), size: 8 });
}
