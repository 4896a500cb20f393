import type { SvgElement } from "./svg-tree";

/** The properties that decide how a shape is painted, as far as thread can follow. */
const INHERITED = [
  "fill",
  "fill-rule",
  "fill-opacity",
  "stroke",
  "stroke-width",
  "stroke-opacity",
  "stroke-linecap",
  "stroke-linejoin",
  "stroke-miterlimit",
  "stroke-dasharray",
  "stroke-dashoffset",
  "color",
  "visibility",
  "font-size",
] as const;
const OWN = [
  "display",
  "opacity",
  "clip-path",
  "mask",
  "filter",
  "stop-color",
  "stop-opacity",
  "transform",
] as const;

export type Style = Readonly<Partial<Record<(typeof INHERITED)[number] | (typeof OWN)[number], string>>>;

interface Rule {
  readonly matches: (element: SvgElement) => boolean;
  readonly weight: number;
  readonly declarations: Readonly<Record<string, string>>;
}

/**
 * Rules of the drawing's style sheets: simple selectors (type, class, id, all, several of them on one element, lists).
 * Other selectors are told back, as a shape may then look otherwise.
 */
export function readStyleSheets(root: SvgElement): {
  readonly rules: readonly Rule[];
  readonly unknown: string[];
} {
  const rules: Rule[] = [];
  const unknown: string[] = [];
  const walk = (element: SvgElement): void => {
    if (element.name === "style") readSheet(element.text, rules, unknown);
    element.children.forEach(walk);
  };
  walk(root);
  return { rules, unknown };
}

function readSheet(text: string, rules: Rule[], unknown: string[]): void {
  const plain = text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/<!--|-->/g, "");
  for (const [, selectors = "", body = ""] of plain.matchAll(/([^{}]+)\{([^{}]*)\}/g)) {
    if (selectors.trim().startsWith("@")) continue;
    const declarations = readDeclarations(body);
    for (const selector of selectors.split(",").map((one) => one.trim())) {
      const parts = /^(\*|[a-zA-Z][\w-]*)?((?:[.#][\w-]+)*)$/.exec(selector);
      if (!parts || selector === "") {
        unknown.push(selector);
        continue;
      }
      const names = parts[2]!.match(/[.#][\w-]+/g) ?? [];
      const type = parts[1] === "*" ? undefined : parts[1];
      const ids = names.filter((name) => name.startsWith("#"));
      rules.push({
        weight: ids.length * 10_000 + (names.length - ids.length) * 100 + (type ? 1 : 0),
        declarations,
        matches: (element) => {
          const classes = element.attributes.class?.split(/\s+/) ?? [];
          return (
            (type === undefined || type === element.name) &&
            names.every((name) =>
              name.startsWith("#")
                ? element.attributes.id === name.slice(1)
                : classes.includes(name.slice(1)),
            )
          );
        },
      });
    }
  }
}

function readDeclarations(text: string): Record<string, string> {
  const found: Record<string, string> = {};
  for (const declaration of text.split(";")) {
    const colon = declaration.indexOf(":");
    if (colon < 0) continue;
    const name = declaration.slice(0, colon).trim().toLowerCase();
    found[name] = declaration
      .slice(colon + 1)
      .replace(/!\s*important/i, "")
      .trim();
  }
  return found;
}

/** An element's style: presentation attributes, over them style sheets by weight, over them its own style. */
export function styleOf(element: SvgElement, parent: Style, rules: readonly Rule[]): Style {
  const style: Record<string, string> = {};
  for (const name of INHERITED) if (parent[name] !== undefined) style[name] = parent[name];
  const set = (from: Readonly<Record<string, string>>): void => {
    for (const name of [...INHERITED, ...OWN]) {
      const value = from[name];
      if (value === undefined || value === "inherit") continue;
      style[name] = value;
    }
  };
  set(element.attributes);
  const own = rules.filter((rule) => rule.matches(element));
  for (const rule of own.sort((a, b) => a.weight - b.weight)) set(rule.declarations);
  if (element.attributes.style !== undefined) set(readDeclarations(element.attributes.style));
  return style;
}

const UNITS: Readonly<Record<string, number>> = {
  "": 1,
  px: 1,
  mm: 96 / 25.4,
  cm: 960 / 25.4,
  q: 24 / 25.4,
  in: 96,
  pt: 96 / 72,
  pc: 16,
  em: 16,
  rem: 16,
  ex: 8,
};

/** A length in user units (CSS Values 3, absolute units at 96 px an inch); `share` is what 100 % stands for. */
export function lengthOf(text: string | undefined, share: number): number | null {
  const parts = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([a-zA-Z]*|%)\s*$/.exec(text ?? "");
  if (!parts) return null;
  const unit = parts[2]!.toLowerCase();
  if (unit === "%") return (Number(parts[1]) / 100) * share;
  return UNITS[unit] === undefined ? null : Number(parts[1]) * UNITS[unit];
}
