import { type Finding, invariant } from "#core/base";
import {
  allowedOrder,
  boxOfObject,
  changedObjects,
  changedPart,
  type Cloth,
  makeArtwork,
  type Making,
  type MakingPart,
  nearestBox,
  type ObjectBox,
  type ObjectChange,
  partNames,
  partsBeneath,
  placedMaking,
  sewMaking,
  splitAtStops,
} from "#core/stitch";
import type { shapes } from "#contract";
import type { Item, Kept, MadeItem, Sources, Unplaced } from "./design-making-sew";

/** Artwork of a making: its parts and single shapes as proposed, then as a person wants them. */

type ArtworkPart = Item<"artwork">["parts"][number];
type ArtworkShape = shapes.ArtworkShape;
type MadeShape = MadeItem["parts"][number]["shapes"][number];

/** A part's shapes as they are told and can be chosen. */
const MOST_SHAPES = 200;
/** Made at another size a shape may come out a little otherwise; further off than this it is another one. */
const SAME_SHAPE = 30;

export function makeDrawn(item: Item<"artwork">, cloth: Cloth, sources: Sources, kept: Kept): Unplaced {
  const { fileHash, widthMm, mostColours, ground } = item;
  const base = kept.of(JSON.stringify(["drawn", fileHash, widthMm, mostColours, ground, cloth]), () => {
    const made = makeArtwork(sources.artwork(fileHash, mostColours), { widthMm, cloth, mostColours, ground });
    return { ...made, names: partNames(made.making), beneath: partsBeneath(made.making) };
  });
  const { making, names, beneath } = base;
  const asked = new Map(item.parts.map((part) => [part.part, part]));
  const wanted = item.parts.map((part) => names.indexOf(part.part)).filter((place) => place >= 0);
  const order = allowedOrder(wanted, beneath);
  const drawn = names.map((name, place) => drawnPart(making.parts[place]!, asked.get(name), widthMm));
  const sewn = order.filter((place) => !drawn[place]!.leftOut);
  const changed: Making = { ...making, parts: sewn.map((place) => drawn[place]!.part) };
  const hidden = drawn.some(({ changes }) => changes.size > 0) ? hiddenShapes(changed, sewn, { drawn, beneath }) : []; // prettier-ignore
  const stitches =
    sewn.length === names.length && item.turnDeg % 360 === 0 && item.parts.every(isAsProposed) && order.every((place, at) => place === at) // prettier-ignore
      ? base.stitches
      : sewMaking(placedMaking(changed, item.turnDeg, [0, 0]));
  const pieces = splitAtStops(stitches);
  invariant(pieces.length === Math.max(1, sewn.length), "each part of artwork is sewn between two stops");
  return {
    pieces: sewn.map((place, at) => ({
      stitches: pieces[at]!,
      threadId: null,
      colour: making.parts[place]!.colour,
      part: names[place]!,
    })),
    about: {
      missing: [],
      heightMm: Math.round(base.heightMm * 10) / 10,
      findings: [...base.findings, ...drawn.flatMap(({ findings }) => findings), ...hidden],
      parts: order.map((place) => ({
        part: names[place]!,
        colour: making.parts[place]!.colour,
        leftOut: drawn[place]!.leftOut,
        beneath: beneath[place]!.map((lower) => names[lower]!),
        ...countsOf(drawn[place]!.part),
        shapes: shapesOf(making.parts[place]!, drawn[place]!.changes, widthMm, item.turnDeg),
      })),
    },
  };
}

interface DrawnPart {
  readonly part: MakingPart;
  readonly changes: ReadonlyMap<number, ObjectChange>;
  readonly leftOut: boolean;
  readonly findings: readonly Finding[];
}

/** A part as a person wants it; a shape that is remembered and not there any more is told of. */
function drawnPart(proposed: MakingPart, asked: ArtworkPart | undefined, widthMm: number): DrawnPart {
  if (!asked) return { part: proposed, changes: new Map(), leftOut: false, findings: [] };
  const boxes = proposed.objects.map(boxOfObject);
  const changes = new Map<number, ObjectChange>();
  let gone = 0;
  for (const shape of asked.shapes ?? []) {
    const index = nearestBox(boxes, boxOfEdges(shape.edges, widthMm), (SAME_SHAPE * widthMm) / 1000);
    if (index < 0) gone++;
    else changes.set(index, changeOfShape(shape));
  }
  const part = changedObjects(changedPart(proposed, changeOf(asked)), changes);
  return {
    part,
    changes,
    leftOut: asked.leaveOut || part.objects.length === 0,
    findings: gone === 0 ? [] : [shapesGone(gone, proposed.colour)],
  };
}

const shapesGone = (gone: number, colour: string): Finding => ({
  code: "shape-not-found",
  level: "warning",
  message: `${gone === 1 ? "A shape" : `${gone} shapes`} of part ${colour.toUpperCase()} that ${gone === 1 ? "was" : "were"} changed ${gone === 1 ? "is" : "are"} not there at this size; the change is left out.`,
  advice: "Look at the part’s shapes and change them again where it is wanted.",
});

/** Parts with a moved shape that came to lie under a part sewn later, which it did not as drawn. */
function hiddenShapes(
  changed: Making,
  sewn: readonly number[],
  {
    drawn,
    beneath,
  }: { readonly drawn: readonly DrawnPart[]; readonly beneath: readonly (readonly number[])[] },
): Finding[] {
  return partsBeneath(changed).flatMap((lower, upper) =>
    lower.flatMap((at): Finding[] => {
      const [top, under] = [sewn[upper]!, sewn[at]!];
      if (drawn[under]!.changes.size === 0 || beneath[top]!.includes(under)) return [];
      const [low, high] = [at, upper].map((part) => changed.parts[part]!.colour.toUpperCase());
      return [
        {
          code: "shape-sewn-over",
          level: "warning",
          message: `A moved shape of part ${low} lies under part ${high}, which is sewn later and covers it.`,
          advice: "Sew its part later, or move it elsewhere.",
        },
      ];
    }),
  );
}

const changeOfShape = ({ xMm, yMm, turnDeg, sizePercent, leaveOut }: ArtworkShape): ObjectChange => ({
  shiftMm: [xMm, yMm],
  turnDeg,
  factor: sizePercent / 100,
  leaveOut,
});

function boxOfEdges([left, bottom, right, top]: readonly number[], widthMm: number): ObjectBox {
  const mm = (thousandths: number) => (thousandths * widthMm) / 1000;
  return { left: mm(left!), bottom: mm(bottom!), right: mm(right!), top: mm(top!) };
}

function shapesOf(
  proposed: MakingPart,
  changes: ReadonlyMap<number, ObjectChange>,
  widthMm: number,
  turnDeg: number,
): MadeShape[] {
  const tenth = (mm: number) => Math.round(mm * 10) / 10;
  return proposed.objects.slice(0, MOST_SHAPES).map((object, index) => {
    const { left, bottom, right, top } = boxOfObject(object);
    const change = changes.get(index);
    const shown = { ...proposed, objects: [object] };
    const moved = change ? changedObjects(shown, new Map([[0, { ...change, leaveOut: false }]])) : shown;
    const turned = placedMaking({ cloth: "woven", parts: [moved] }, turnDeg, [0, 0]);
    const now = boxOfObject(turned.parts[0]!.objects[0]!);
    return {
      edges: [left, bottom, right, top].map((mm) => Math.round((1000 * mm) / widthMm)),
      sew: object.sew,
      boxMm: { left: tenth(now.left), right: tenth(now.right), bottom: tenth(now.bottom), top: tenth(now.top) }, // prettier-ignore
      leftOut: change?.leaveOut === true,
    };
  });
}

const isAsProposed = (part: ArtworkPart): boolean =>
  part.lines === null &&
  part.angleDeg === null &&
  part.spacingMm === null &&
  part.underlay === null &&
  (part.shapes ?? []).length === 0;

function changeOf(part: ArtworkPart | undefined) {
  if (!part) return {};
  const { lines, angleDeg, spacingMm, underlay } = part;
  return {
    ...(lines === null ? {} : { lines }),
    ...(angleDeg === null ? {} : { angleDeg }),
    ...(spacingMm === null ? {} : { spacingMm }),
    ...(underlay === null ? {} : { underlay }),
  };
}

function countsOf({ objects }: Making["parts"][number]) {
  const filled = objects.flatMap((object) => (object.sew === "fill" ? [object] : []));
  const first = filled[0];
  return {
    fills: filled.length,
    satins: objects.filter(({ sew }) => sew === "satin").length,
    runs: objects.filter(({ sew }) => sew === "run").length,
    areaMm2: Math.round(filled.reduce((sum, { rings }) => sum + Math.abs(rings.reduce((all, ring) => all + ringArea(ring), 0)), 0)), // prettier-ignore
    angleDeg: first ? ((Math.round(first.angleDeg) % 360) + 360) % 180 : null,
    lines: first?.lines ?? null,
  };
}

function ringArea(ring: readonly (readonly [number, number])[]): number {
  let twice = 0;
  ring.forEach(([x, y], i) => {
    const [nx, ny] = ring[(i + 1) % ring.length]!;
    twice += x * ny - nx * y;
  });
  return twice / 2;
}
