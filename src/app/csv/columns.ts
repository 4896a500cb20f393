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
  reference: ["reference", "ref", "order", "order number", "order no", "order id", "order reference", "order ref", "order #", "bestellnummer", "bestellung", "auftrag", "auftragsnummer", "auftragsnr", "numero de commande", "commande", "pedido", "numero de pedido", "ordine", "numero ordine", "bestelnummer", "encomenda", "ordernummer", "ordrenummer", "numer zamowienia", "bestell nr", "bestellnr", "bestell nummer", "auftrags nr", "auftrag nr", "order nr", "ordernr", "order nummer", "no commande", "n° commande", "n° de commande", "no de commande", "reference commande", "no pedido", "n° pedido", "num pedido", "numero d'ordine", "n° ordine", "no ordine", "bestelnr", "bestel nr", "bestelling", "numero da encomenda", "numero do pedido", "ordrenr", "ordre nr", "ordre", "tilausnumero", "tilaus", "zamowienie", "nr zamowienia", "objednavka", "cislo objednavky"],
  "line-reference": ["line reference", "line ref", "line", "line no", "line number", "line id", "item id", "item no", "position", "pos", "positionsnummer", "ligne", "linea", "riga", "regel", "regelnummer", "linha"],
  customer: ["customer", "customer name", "buyer", "client", "recipient", "ship to", "ship name", "full name", "kunde", "kundenname", "kaufer", "empfanger", "client name", "nom du client", "cliente", "klant", "klantnaam", "kund", "nome cliente", "kunden name", "kundin", "besteller", "auftraggeber", "acheteur", "destinataire", "nom client", "nombre del cliente", "nombre cliente", "comprador", "destinatario", "acquirente", "intestatario", "koper", "ontvanger", "kundenavn", "kundnamn", "nome do cliente", "asiakas", "klient", "nabywca", "odbiorca", "zakaznik"],
  channel: ["channel", "source", "shop", "store", "sales channel", "kanal", "vertriebskanal", "quelle", "canal", "canale", "kanaal", "winkel"],
  "placed-on": ["placed on", "placed", "order date", "ordered", "ordered on", "date", "created", "created at", "date of order", "bestelldatum", "bestellt am", "datum", "auftragsdatum", "date de commande", "fecha", "fecha de pedido", "data", "data ordine", "besteldatum", "data da encomenda", "orderdatum", "bestellt", "eingang", "eingangsdatum", "commande le", "date commande", "fecha pedido", "data dell'ordine", "besteld", "besteld op", "data do pedido", "bestillingsdato", "ordredato", "data zamowienia"],
  "promise-date": ["promise date", "promised", "promised for", "due", "due date", "deliver by", "delivery date", "needed by", "wanted by", "required by", "liefertermin", "lieferdatum", "termin", "zusage", "date promise", "date de livraison", "livraison", "fecha de entrega", "entrega", "data di consegna", "consegna", "leverdatum", "data de entrega", "leveransdatum", "promise", "promised date", "promised by", "date promised", "need by", "deadline", "delivery", "delivery by", "fallig", "faellig", "fallig am", "faellig am", "falligkeit", "faelligkeit", "falligkeitsdatum", "faelligkeitsdatum", "zugesagt", "zugesagt am", "zugesagt fur", "zugesagt bis", "lieferung", "lieferung bis", "liefern bis", "wunschtermin", "promis", "promis le", "promis pour", "echeance", "date d'echeance", "date limite", "a livrer le", "prometido", "prometido para", "fecha prometida", "fecha limite", "vencimiento", "promesso", "promesso per", "data promessa", "scadenza", "da consegnare", "beloofd", "beloofd op", "levering", "uiterlijk", "data prometida", "data limite", "prazo", "prazo de entrega", "utlovad", "utlovat datum", "leverans", "lovet", "leveringsdato", "forfaldsdato", "toimituspaiva", "data dostawy", "termin realizacji", "termin dodani"],
  "ship-by": ["ship by", "ship date", "dispatch by", "dispatch date", "send by", "versand", "versand bis", "versanddatum", "expedition", "date d'expedition", "fecha de envio", "spedizione", "verzenddatum", "verzenden voor", "envio", "versenden bis", "versand am", "expedier avant", "expedier le", "fecha envio", "enviar antes de", "data spedizione", "data di spedizione", "spedire entro", "verzenden op", "data de envio", "afsendes", "skickas", "data wysylki"],
  product: ["product", "product code", "product name", "item", "item name", "article", "sku", "code", "produkt", "artikel", "artikelnummer", "artikelnr", "produit", "reference produit", "producto", "articulo", "prodotto", "articolo", "product naam", "artikelcode", "produto", "artigo", "title", "produktname", "artikelname", "artikelbezeichnung", "bezeichnung", "designation", "vare", "varenummer", "tuote", "produkt kod", "towar"],
  quantity: ["quantity", "qty", "count", "pieces", "amount", "number of pieces", "menge", "anzahl", "stuck", "stueck", "quantite", "qte", "cantidad", "quantita", "aantal", "quantidade", "antal", "ilosc", "stk", "qta", "cant", "uds", "unidades", "pezzi", "stuks", "kpl", "maara"],
  "personal-text": ["personal text", "personalisation", "personalization", "name to embroider", "text", "embroidery text", "lettering", "wording", "name on item", "initials", "monogram", "wunschtext", "personalisierung", "stickerei", "sticktext", "beschriftung", "personnalisation", "texte", "prenom", "personalizacion", "texto", "personalizzazione", "testo", "tekst", "borduurtekst", "personalisatie", "personalizacao", "name to sew", "name to stitch", "name to be embroidered", "embroidered name", "stitched name", "name on product", "custom text", "customisation", "customization", "inscription", "stickname", "name zum sticken", "text zum sticken", "besticken mit", "texte a broder", "prenom a broder", "nom a broder", "broderie", "nombre a bordar", "texto a bordar", "texto personalizado", "bordado", "nome da ricamare", "testo da ricamare", "ricamo", "naam om te borduren", "te borduren naam", "te borduren tekst", "nome a bordar", "broderitext", "broderitekst", "haft", "tekst haftu"],
  design: ["design", "design name", "picture", "motif", "artwork", "motiv", "stickmotiv", "bild", "image", "dessin", "diseno", "motivo", "disegno", "ontwerp", "motief", "desenho"],
  threads: ["threads", "thread", "thread colours", "thread colors", "thread colour", "colours", "colors", "colour", "color", "garn", "garne", "garnfarbe", "farben", "farbe", "fils", "fil", "couleurs", "couleur", "hilos", "hilo", "colores", "fili", "filo", "colori", "draad", "kleuren", "linhas", "cores"],
  "text-thread": ["text thread", "text colour", "text color", "lettering thread", "lettering colour", "letter colour", "textfarbe", "schriftfarbe", "couleur du texte", "color del texto", "colore del testo", "tekstkleur", "cor do texto"],
  price: ["price", "unit price", "item price", "line price", "preis", "einzelpreis", "stuckpreis", "prix", "prix unitaire", "precio", "prezzo", "prijs", "preco", "pris", "cena"],
  note: ["note", "notes", "order note", "comment", "comments", "remark", "remarks", "message", "notiz", "bemerkung", "anmerkung", "kommentar", "remarque", "commentaire", "nota", "notas", "comentario", "note ordine", "opmerking", "observacoes", "hinweis", "bemerkungen", "note client", "osservazioni", "notitie", "merknad", "uwagi"],
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

/**
 * Headings that say no more than "name": the customer's, or, beside a column that is surely the customer's, the name to
 * be sewn. (French "nombre" is a number; what stands below decides.)
 */
const bareNames = new Set([
  "name",
  "names",
  "nom",
  "noms",
  "nombre",
  "naam",
  "nome",
  "namn",
  "navn",
  "nimi",
  "imie",
]);

/** What a heading alone says: a meaning and how sure, 0 to 10. */
function byHeading(heading: string): Map<Meaning, number> {
  const scores = new Map<Meaning, number>();
  const plain = plainHeading(heading);
  if (plain === "") return scores;
  if (bareNames.has(plain)) return scores.set("customer", 5).set("personal-text", 3.5);
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
    const cells = rows.map((row) => row[column] ?? "");
    const content = byContent(cells);
    const scores =
      bareNames.has(plainHeading(name)) && content.has("quantity")
        ? new Map<Meaning, number>([["quantity", 5]])
        : byHeading(name);
    for (const [meaning, more] of content)
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
