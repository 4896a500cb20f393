import { SaxesParser } from "saxes";
import { refuseStitches } from "../refusals";

/** An element of a drawing: its name without prefix, its attributes, what it holds. */
export interface SvgElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: SvgElement[];
  text: string;
}

const MOST_CHARACTERS = 30_000_000;
const MOST_ELEMENTS = 200_000;
const MOST_DEPTH = 200;

/**
 * Reads the XML of a drawing. Entities declared in the document's own type are known (drawing programs write their
 * namespaces so), anything outside the document is not asked for.
 * @throws a refusal `not-a-drawing` (with line and column) where it is no XML or no SVG, `drawing-too-large`
 */
export function readSvgTree(text: string): SvgElement {
  if (text.length > MOST_CHARACTERS)
    tooLarge(`${Math.round(text.length / 1e6)} million characters`, "30 million");
  const parser = new SaxesParser({ fragment: false });
  const open: SvgElement[] = [];
  let root: SvgElement | null = null;
  let elements = 0;
  let trouble: string | null = null;
  parser.on("error", (error) => {
    trouble ??= error.message;
  });
  parser.on("doctype", (doctype) => {
    for (const [, name, , value] of doctype.matchAll(/<!ENTITY\s+([\w.-]+)\s+(["'])(.{0,500}?)\2\s*>/gs))
      parser.ENTITIES[name!] = value!;
  });
  parser.on("opentag", (tag) => {
    if (++elements > MOST_ELEMENTS)
      tooLarge(`more than ${MOST_ELEMENTS} elements`, `${MOST_ELEMENTS} at most`);
    if (open.length > MOST_DEPTH) tooLarge(`elements inside elements ${MOST_DEPTH} deep`, "less");
    const element: SvgElement = {
      name: tag.name.replace(/^svg:/, ""),
      attributes: tag.attributes as Record<string, string>,
      children: [],
      text: "",
    };
    open.at(-1)?.children.push(element);
    root ??= element;
    open.push(element);
  });
  const say = (words: string): void => {
    const element = open.at(-1);
    if (element) element.text += words;
  };
  parser.on("text", say);
  parser.on("cdata", say);
  parser.on("closetag", () => void open.pop());
  try {
    parser.write(text.replace(/^\ufeff/, "")).close();
  } catch (error) {
    if (trouble === null) throw error;
  }
  const found = root as SvgElement | null;
  if (trouble !== null)
    throw refuseStitches("not-a-drawing", `The drawing's XML cannot be read: ${trouble as string}`, [
      { field: "drawing", found: (trouble as string).slice(0, 200), expected: "well-formed XML" },
    ]);
  if (found?.name !== "svg")
    throw refuseStitches(
      "not-a-drawing",
      `The file holds <${found?.name ?? "nothing"}>, not an SVG drawing.`,
      [{ field: "drawing", found: `<${found?.name ?? ""}>`, expected: "<svg>" }],
    );
  return found;
}

function tooLarge(found: string, expected: string): never {
  throw refuseStitches("drawing-too-large", `The drawing has ${found}.`, [
    { field: "drawing", found, expected },
  ]);
}

/** The tree's elements by their id, the first where one stands twice. */
export function elementsById(root: SvgElement): ReadonlyMap<string, SvgElement> {
  const known = new Map<string, SvgElement>();
  const walk = (element: SvgElement): void => {
    const { id } = element.attributes;
    if (id !== undefined && !known.has(id)) known.set(id, element);
    element.children.forEach(walk);
  };
  walk(root);
  return known;
}
