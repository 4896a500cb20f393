import type { shapes } from "#contract";
import type { Kept } from "../records";
import { drawRule, type ListAsked, listPage, openList } from "./list-page";
import { drawTickBox } from "./marks";
import { ink, mm, type Sheet } from "./sheet";
import { cautions, countWords } from "./wording";

/** What one piece of the plan takes from the shelves. */
export interface Need {
  readonly pieceCode: string;
  readonly productName: string;
  readonly blankId: string | null;
  /** One entry a hooping. */
  readonly hoopings: readonly {
    readonly backingId: string | null;
    readonly toppingId: string | null;
    /** Inner field of the hoop, mm; null where it is sewn without one. */
    readonly hoopField: { readonly widthMm: number; readonly heightMm: number } | null;
  }[];
}

export type PickKind = "blank" | "backing" | "topping";

export interface PickRow {
  readonly kind: PickKind;
  readonly code: string;
  readonly name: string;
  readonly colour: string;
  readonly size: string;
  readonly unit: string;
  /** Pieces, or cuts of backing and topping. */
  readonly count: number;
  /** In the stock item's own unit. */
  readonly needed: number;
  readonly onHand: number;
  readonly short: number;
  /** Codes of the pieces it is for. */
  readonly forPieces: readonly string[];
}

/** Backing and topping reach past the hoop's field on each side by this much (common practice, no source). */
const MARGIN_MM = 40;
const perMetre = new Set(["m", "metre", "metres", "meter", "meters"]);

/** Rows to fetch: blanks by product, colour and size first, then backing, then topping; the code orders within. */
export function pickRows(
  needs: readonly Need[],
  stock: ReadonlyMap<string, Kept<shapes.StockBody>>,
): PickRow[] {
  const gathered = new Map<
    string,
    { kind: PickKind; id: string; count: number; needed: number; forPieces: Set<string> }
  >();
  const take = (kind: PickKind, id: string, needed: number, pieceCode: string) => {
    const key = `${kind} ${id}`;
    if (!gathered.has(key)) gathered.set(key, { kind, id, count: 0, needed: 0, forPieces: new Set() });
    const row = gathered.get(key)!;
    row.count++;
    row.needed += needed;
    row.forPieces.add(pieceCode);
  };
  const cut = (id: string, field: { heightMm: number } | null) =>
    perMetre.has(stock.get(id)?.unit.toLowerCase() ?? "")
      ? ((field?.heightMm ?? 0) + 2 * MARGIN_MM) / 1000
      : 1;
  for (const need of needs) {
    if (need.blankId !== null) take("blank", need.blankId, 1, need.pieceCode);
    for (const hooping of need.hoopings) {
      if (hooping.backingId !== null)
        take("backing", hooping.backingId, cut(hooping.backingId, hooping.hoopField), need.pieceCode);
      if (hooping.toppingId !== null)
        take("topping", hooping.toppingId, cut(hooping.toppingId, hooping.hoopField), need.pieceCode);
    }
  }
  const kinds: readonly PickKind[] = ["blank", "backing", "topping"];
  return [...gathered.values()]
    .map(({ kind, id, count, needed, forPieces }): PickRow => {
      const item = stock.get(id);
      const whole = Math.ceil(needed * 10) / 10;
      return {
        kind,
        code: item?.code ?? "?",
        name: item?.name ?? "unknown stock item",
        colour: item?.colour ?? "",
        size: item?.size ?? "",
        unit: item?.unit ?? "",
        count,
        needed: whole,
        onHand: item?.onHand ?? 0,
        short: Math.max(0, Math.round((whole - (item?.onHand ?? 0)) * 10) / 10),
        forPieces: [...forPieces],
      };
    })
    .sort(
      (a, b) =>
        kinds.indexOf(a.kind) - kinds.indexOf(b.kind) ||
        a.name.localeCompare(b.name, "en") ||
        a.code.localeCompare(b.code, "en"),
    );
}

export interface PickingAsked extends ListAsked {
  readonly rows: readonly PickRow[];
  /** Pieces of the day that take no blank from the shelf, with their product. */
  readonly without: readonly string[];
  /** Pieces already begun: their things have been fetched. */
  readonly begun: number;
  readonly pieces: number;
  readonly machineName: string | null;
}

const headings: Readonly<Record<PickKind, string>> = {
  blank: "Blanks and cloth",
  backing: "Backing",
  topping: "Topping",
};

/** The pick list as a PDF. */
export async function pickingPdf(asked: PickingAsked): Promise<Uint8Array> {
  const sheet = openList(asked, "Pick list");
  const title = asked.machineName === null ? "Pick list" : `Pick list: ${asked.machineName}`;
  const { margin, width, bottom, open } = listPage(sheet, asked, title, 16);
  let y = open();
  const short = asked.rows.filter((row) => row.short > 0).length;
  const summary = [
    `For ${countWords(asked.pieces, "piece")}`,
    asked.begun > 0 ? `${countWords(asked.begun, "piece")} already begun left out` : "",
    short > 0 ? `${countWords(short, "thing")} short` : "all on the shelf",
  ];
  sheet.write(summary.filter(Boolean).join("  ·  "), {
    x: margin,
    y,
    width,
    size: 11,
    colour: short > 0 ? ink.late : ink.second,
    weight: short > 0 ? "semibold" : "regular",
  });
  y += mm(9);
  if (asked.rows.length === 0) {
    sheet.write("Nothing to fetch: no piece of this day takes anything from the shelves.", {
      x: margin,
      y,
      width,
      size: 13,
      height: 40,
    });
    y += mm(10);
  }
  let kind: PickKind | null = null;
  for (const row of asked.rows) {
    const height = rowHeight(sheet, row, width);
    if (y + height + (row.kind === kind ? 0 : mm(17)) > bottom) {
      y = open() + mm(2);
      kind = null;
    }
    if (row.kind !== kind) {
      if (kind !== null) y += mm(5);
      kind = row.kind;
      sheet.write(headings[kind], { x: margin, y, width: width * 0.5, size: 14, weight: "bold" });
      columns(width).forEach(({ x, width: columnWidth, label }) => {
        sheet.write(label, {
          x: margin + x,
          y: y + 5,
          width: columnWidth,
          size: 8.5,
          align: "right",
          colour: ink.second,
        });
      });
      y += mm(8);
    }
    drawRow(sheet, row, { x: margin, y, width, height });
    y += height;
  }
  if (asked.without.length > 0) {
    const text = `Without a blank from the shelf: ${asked.without.join(", ")}.`;
    if (y + mm(14) > bottom) y = open();
    sheet.write(text, {
      x: margin,
      y: y + mm(3),
      width,
      size: 9.5,
      least: 8,
      height: mm(11),
      colour: ink.second,
    });
  }
  sheet.write(cautions.lifting, { x: margin, y: bottom + mm(3), width, size: 9, colour: ink.caution });
  return sheet.done();
}

const columns = (width: number) => [
  { label: "take", x: width - mm(62), width: mm(20) },
  { label: "on hand", x: width - mm(42), width: mm(20) },
  { label: "short", x: width - mm(21), width: mm(21) },
];

const forText = (row: PickRow): string =>
  row.forPieces.length <= MOST_CODES
    ? row.forPieces.join(", ")
    : `${row.forPieces.slice(0, MOST_CODES).join(", ")} and ${row.forPieces.length - MOST_CODES} more`;
const FOR_SIZE = 8.5;
const MOST_CODES = 120;
const MOST_LINES = 18;

function rowHeight(sheet: Sheet, row: PickRow, width: number): number {
  const room = width - mm(9) - mm(66);
  const lines = Math.min(MOST_LINES, Math.ceil(sheet.measure(forText(row), FOR_SIZE) / (room * 0.95)));
  return mm(9) + lines * FOR_SIZE * 1.2 + mm(1);
}

function drawRow(
  sheet: Sheet,
  row: PickRow,
  at: { x: number; y: number; width: number; height: number },
): void {
  drawRule(sheet, at);
  const y = at.y + mm(1.6);
  drawTickBox(sheet, { x: at.x, y: y + 1, size: mm(4.6) });
  const room = at.width - mm(9) - mm(66);
  const name = [row.name, row.colour, row.size].filter(Boolean).join(" · ");
  sheet.write(name, {
    x: at.x + mm(9),
    y,
    width: room,
    size: 13,
    least: 9,
    weight: "semibold",
    height: mm(6.5),
  });
  sheet.write(`${row.code}: ${forText(row)}`, {
    x: at.x + mm(9),
    y: y + mm(6.4),
    width: room,
    size: FOR_SIZE,
    least: 7,
    height: at.height - mm(9),
    colour: ink.second,
  });
  const [take, hand, short] = columns(at.width);
  const number = (value: number) => value.toLocaleString("en", { maximumFractionDigits: 1 });
  const unit = row.unit === "piece" || row.unit === "" ? "" : ` ${row.unit}`;
  sheet.write(number(row.needed), {
    x: at.x + take!.x,
    y: y - 2,
    width: take!.width,
    size: 18,
    least: 11,
    weight: "bold",
    align: "right",
  });
  if (unit !== "")
    sheet.write(unit.trim(), {
      x: at.x + take!.x,
      y: y + mm(6.2),
      width: take!.width,
      size: 8.5,
      least: 6,
      align: "right",
      colour: ink.second,
    });
  sheet.write(number(row.onHand), {
    x: at.x + hand!.x,
    y: y + 1,
    width: hand!.width,
    size: 13,
    least: 9,
    align: "right",
  });
  if (row.short > 0) {
    sheet.write(`short ${number(row.short)}`, {
      x: at.x + short!.x,
      y: y + 1,
      width: short!.width,
      size: 13,
      least: 8,
      weight: "bold",
      align: "right",
      colour: ink.late,
    });
  }
}
