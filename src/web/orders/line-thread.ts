import type { shapes } from "#contract";
import { sewnTexts } from "#core/shop";
import { composeStitches, letterText, stitchExtents, type Stitches } from "#core/stitch";
import { drawRecords } from "../canvas/engine";
import { fill, rampOf } from "../canvas/raster";
import { indexed, stitchesFromBytes } from "../canvas/stitches";

type Lettering = NonNullable<shapes.ProductRecord["placements"][number]["lettering"]>;
type Further = NonNullable<Lettering["further"]>[number];

export interface LinePictureAsked {
  /** Address of the picture's stitches; null where only the name is sewn. */
  readonly address: string | null;
  readonly pictureColours: readonly string[];
  readonly text: string;
  readonly lettering: Lettering | null;
  readonly cloth: shapes.ProductRecord["cloth"];
  readonly textColour: string;
}

/** Above this a picture is not composed anew with each letter typed. */
const MOST_STITCHES = 120_000;

const kept = new Map<string, Promise<Stitches>>();

function pictureAt(address: string): Promise<Stitches> {
  let coming = kept.get(address);
  if (!coming) {
    coming = fetch(address)
      .then((response) =>
        response.ok ? response.arrayBuffer() : Promise.reject(new Error("The picture could not be fetched.")),
      )
      .then((bytes) => {
        const { kinds, xTenths, yTenths } = stitchesFromBytes(bytes);
        return { kind: kinds, x: xTenths, y: yTenths };
      });
    coming.catch(() => kept.delete(address));
    kept.set(address, coming);
    if (kept.size > 24) kept.delete(kept.keys().next().value!);
  }
  return coming;
}

/** The picture with the texts set above or below it, as the program will make it; letters shrink to the width they have. */
function composed(picture: Stitches | null, { text, lettering, cloth }: LinePictureAsked): Stitches | null {
  if (!lettering) return picture;
  let whole = lettering.place === "alone" ? null : picture;
  sewnTexts(lettering, text).forEach(({ line, text: own }) => {
    const letters = lettered(own, line, cloth);
    whole = whole === null ? letters : set(whole, letters, line);
  });
  return whole ?? picture;
}

function lettered(text: string, { heightMm, maxWidthMm }: Lettering | Further, cloth: LinePictureAsked["cloth"]): Stitches {
  const made = letterText(text, { heightMm, cloth });
  if (made.widthMm <= maxWidthMm) return made.stitches;
  return letterText(text, { heightMm: Math.floor(((heightMm * maxWidthMm) / made.widthMm) * 10) / 10, cloth }).stitches;
} // prettier-ignore

function set(whole: Stitches, text: Stitches, { heightMm, place }: Lettering | Further): Stitches {
  const [box, letters] = [stitchExtents(whole), stitchExtents(text)];
  const gap = Math.round(heightMm * 5);
  const dy = place === "above" ? box.top + gap - letters.bottom : box.bottom - gap - letters.top;
  const dx = Math.round((box.left + box.right) / 2 - (letters.left + letters.right) / 2);
  return composeStitches([{ stitches: whole }, { stitches: text, xTenths: dx, yTenths: dy }]);
}

/** Draws a line's embroidery into the canvas; gives its size in mm, or null when there is nothing to sew. Throws with words where the name cannot be set. */
export async function drawLine(
  canvas: HTMLCanvasElement,
  asked: LinePictureAsked,
): Promise<{ readonly widthMm: number; readonly heightMm: number; readonly stitches: number } | null> {
  const picture = asked.address ? await pictureAt(asked.address) : null;
  const whole = picture && picture.kind.length > MOST_STITCHES ? picture : composed(picture, asked);
  if (!whole || whole.kind.length === 0) return null;
  const stitches = indexed(whole.kind, whole.x, whole.y);
  const [left, bottom, right, top] = stitches.bounds;
  const [wide, high] = [Math.max(1, right - left) / 10, Math.max(1, top - bottom) / 10];
  const { width, height } = canvas;
  const scale = Math.min((width - 16) / wide, (height - 16) / high, 24);
  const image = new ImageData(width, height);
  const sheet = { width, height, pixels: new Uint32Array(image.data.buffer) };
  fill(sheet, "#eee6d6");
  const view = {
    widthPx: width,
    heightPx: height,
    scale,
    xMm: (left + right) / 20,
    yMm: (bottom + top) / 20,
  };
  const count = asked.address && picture ? asked.pictureColours.length : 0;
  const ramps = stitches.partStarts.map((_, part) =>
    rampOf(part < count ? (asked.pictureColours[part] ?? "#9a948a") : asked.textColour),
  );
  drawRecords(
    sheet,
    stitches,
    ramps,
    view,
    { colours: [], cloth: "#eee6d6", threadMm: 0.4, showJumps: false, onlyPart: null, upTo: stitches.count },
    0,
    stitches.count,
  );
  canvas.getContext("2d")!.putImageData(image, 0, 0);
  return {
    widthMm: wide,
    heightMm: high,
    stitches: stitches.kinds.reduce((sum, kind) => sum + (kind === 0 ? 1 : 0), 0),
  };
}
