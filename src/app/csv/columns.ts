import { createHash } from "node:crypto";
import type { shapes } from "#contract";
import { foldText } from "../fold";
import { looksLikeDate } from "./dates";
import type { Lookup } from "./lookup";
import { readNumber } from "./numbers";

type Meaning = shapes.ColumnMeaning;

/** Headings that name a meaning, folded, in several languages; the whole heading counts more than a part of it. */
// prettier-ignore
const headings: Record<Meaning, readonly string[]> = {
  reference: ["reference", "ref", "order", "order number", "order no", "order id", "order reference", "order ref", "order #", "bestellnummer", "bestellung", "auftrag", "auftragsnummer", "auftragsnr", "numero de commande", "commande", "pedido", "numero de pedido", "ordine", "numero ordine", "bestelnummer", "encomenda", "ordernummer", "ordrenummer", "numer zamowienia"],
  "line-reference": ["line reference", "line ref", "line", "line no", "line number", "line id", "item id", "item no", "position", "pos", "positionsnummer", "ligne", "linea", "riga", "regel", "regelnummer", "linha"],
  customer: ["customer", "customer name", "name", "buyer", "client", "recipient", "ship to", "ship name", "full name", "kunde", "kundenname", "kaufer", "empfanger", "client name", "nom du client", "nom", "cliente", "nombre", "klant", "klantnaam", "naam", "kund", "nome", "nome cliente"],
  channel: ["channel", "source", "shop", "store", "sales channel", "kanal", "vertriebskanal", "quelle", "canal", "canale", "kanaal", "winkel"],
  "placed-on": ["placed on", "placed", "order date", "ordered", "ordered on", "date", "created", "created at", "date of order", "bestelldatum", "bestellt am", "datum", "auftragsdatum", "date de commande", "fecha", "fecha de pedido", "data", "data ordine", "besteldatum", "data da encomenda", "orderdatum"],
  "promise-date": ["promise date", "promised", "promised for", "due", "due date", "deliver by", "delivery date", "needed by", "wanted by", "required by", "liefertermin", "lieferdatum", "termin", "zusage", "date promise", "date de livraison", "livraison", "fecha de entrega", "entrega", "data di consegna", "consegna", "leverdatum", "data de entrega", "leveransdatum"],
  "ship-by": ["ship by", "ship date", "dispatch by", "dispatch date", "send by", "versand", "versand bis", "versanddatum", "expedition", "date d'expedition", "fecha de envio", "spedizione", "verzenddatum", "verzenden voor", "envio"],
  product: ["product", "product code", "product name", "item", "item name", "article", "sku", "code", "produkt", "artikel", "artikelnummer", "artikelnr", "produit", "reference produit", "producto", "articulo", "prodotto", "articolo", "product naam", "artikelcode", "produto", "artigo", "title"],
  quantity: ["quantity", "qty", "count", "pieces", "amount", "number of pieces", "menge", "anzahl", "stuck", "stueck", "quantite", "qte", "cantidad", "quantita", "aantal", "quantidade", "antal", "ilosc"],
  "personal-text": ["personal text", "personalisation", "personalization", "name to embroider", "text", "embroidery text", "lettering", "wording", "name on item", "initials", "monogram", "wunschtext", "personalisierung", "stickerei", "sticktext", "beschriftung", "personnalisation", "texte", "prenom", "personalizacion", "texto", "personalizzazione", "testo", "tekst", "borduurtekst", "personalisatie", "personalizacao"],
  design: ["design", "design name", "picture", "motif", "artwork", "motiv", "stickmotiv", "bild", "image", "dessin", "diseno", "motivo", "disegno", "ontwerp", "motief", "desenho"],
  threads: ["threads", "thread", "thread colours", "thread colors", "thread colour", "colours", "colors", "colour", "color", "garn", "garne", "garnfarbe", "farben", "farbe", "fils", "fil", "couleurs", "couleur", "hilos", "hilo", "colores", "fili", "filo", "colori", "draad", "kleuren", "linhas", "cores"],
  "text-thread": ["text thread", "text colour", "text color", "lettering thread", "lettering colour", "letter colour", "textfarbe", "schriftfarbe", "couleur du texte", "color del texto", "colore del testo", "tekstkleur", "cor do texto"],
  price: ["price", "unit price", "item price", "line price", "preis", "einzelpreis", "stuckpreis", "prix", "prix unitaire", "precio", "prezzo", "prijs", "preco", "pris", "cena"],
  note: ["note", "notes", "order note", "comment", "comments", "remark", "remarks", "message", "notiz", "bemerkung", "anmerkung", "kommentar", "remarque", "commentaire", "nota", "notas", "comentario", "note ordine", "opmerking", "observacoes"],
  "line-note": ["line note", "item note", "position note", "positionsnotiz", "note de ligne", "nota de linea", "nota riga", "regel opmerking"],
};

export const meaningWords: Record<Meaning, string> = {
  reference: "order reference",
  "line-reference": "line reference",
  customer: "customer",
  channel: "channel",
  "placed-on": "day placed",
  "promise-date": "promise date",
  "ship-by": "ship-by date",
  product: "product",
  quantity: "quantity",
  "personal-text": "personal text",
  design: "design",
  threads: "threads",
  "text-thread": "thread of the text",
  price: "price of one piece",
  note: "note",
  "line-note": "note of the line",
};

const plainHeading = (heading: string) =>
  foldText(heading)
    .replace(/[_\-.:/#()*]+/g, " ")
    .replace(/\s+/g, " ")
    .trim();

/** The key under which a reading is remembered: the headings in order, comparable, and how many they are. */
export function shapeKey(names: readonly string[]): string {
  const text = JSON.stringify([names.length, names.map(plainHeading)]);
  return createHash("sha256").update(text).digest("hex").slice(0, 40);
}

const known = new Map<string, Meaning>(
  (Object.keys(headings) as Meaning[]).flatMap((meaning) =>
    headings[meaning].map((name) => [plainHeading(name), meaning] as const),
  ),
);

/** What a heading alone says: a meaning and how sure, 0 to 10. */
function byHeading(heading: string): Map<Meaning, number> {
  const scores = new Map<Meaning, number>();
  const plain = plainHeading(heading);
  if (plain === "") return scores;
  const spaced = plainHeading(heading.replace(/(\p{Ll})(\p{Lu})/gu, "$1 $2"));
  for (const text of [plain, spaced]) {
    const exact = known.get(text);
    if (exact) scores.set(exact, 10);
    for (const [name, meaning] of known)
      if (4 <= name.length && ` ${text} `.includes(` ${name} `))
        scores.set(meaning, Math.max(scores.get(meaning) ?? 0, 4 + Math.min(4, name.length / 4)));
  }
  return scores;
}

/** Whether a first row holds headings: one is known, or none looks like a value while the rows below have some. */
export function hasHeadings(first: readonly string[], below: readonly (readonly string[])[]): boolean {
  if (first.some((cell) => byHeading(cell).size > 0 && !looksLikeDate(cell))) return true;
  const isValue = (cell: string) =>
    looksLikeDate(cell) || (cell.trim() !== "" && readNumber(cell, ".") !== null);
  return !first.some(isValue) && below.some((row) => row.some(isValue));
}

/** What each column of the file may be, by its heading and what stands in it; null where nothing fits. */
export function guessColumns(
  names: readonly string[],
  rows: readonly (readonly string[])[],
  lookup: Lookup,
): (Meaning | null)[] {
  const candidates = names.flatMap((name, column) => {
    const scores = byHeading(name);
    for (const [meaning, more] of byContent(rows.map((row) => row[column] ?? "")))
      scores.set(
        meaning,
        (scores.get(meaning) ?? 0) + more * (scores.size === 0 || scores.has(meaning) ? 1 : 0.4),
      );
    return [...scores].map(([meaning, score]) => ({ column, meaning, score }));
  });
  candidates.sort((a, b) => b.score - a.score || a.column - b.column);
  const columns = names.map((): Meaning | null => null);
  const taken = new Set<Meaning>();
  for (const { column, meaning, score } of candidates) {
    if (score < 3 || columns[column] !== null || taken.has(meaning)) continue;
    columns[column] = meaning;
    taken.add(meaning);
  }
  return columns;

  function byContent(cells: readonly string[]): Map<Meaning, number> {
    const filled = cells.filter((cell) => cell.trim() !== "");
    const scores = new Map<Meaning, number>();
    if (filled.length === 0) return scores;
    const share = (test: (cell: string) => boolean) => filled.filter(test).length / filled.length;
    const products = share((cell) => lookup.product(cell).kind === "one");
    if (products > 0.2) scores.set("product", 7 * products);
    const designs = share((cell) => lookup.design(cell).kind === "one");
    if (designs > 0.5) scores.set("design", 4 * designs);
    const threads = share((cell) => cell.split(/[;,|/]/).every((one) => lookup.thread(one).kind === "one"));
    if (threads > 0.5) scores.set("threads", 4 * threads);
    if (share(looksLikeDate) > 0.8) scores.set("placed-on", 1).set("promise-date", 1);
    if (share((cell) => /^\d{1,3}$/.test(cell.trim())) > 0.9) scores.set("quantity", 1.5);
    return scores;
  }
}
