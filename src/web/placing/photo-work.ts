import { lensBelief, viewEdges, viewHoop } from "#core/placing";
import {
  clothHomography,
  findMarkers,
  greyOf,
  type GreyPicture,
  rectifiedSize,
  rectify,
  type RgbaPicture,
  snapLine,
  textureDirection,
  type TextureRefusal,
} from "#core/placing/picture";
import { drawRecords } from "../canvas/engine";
import { fetchStitches } from "../canvas/fetched";
import { rampOf } from "../canvas/raster";
import { STITCH, type StitchesDrawn } from "../canvas/stitches";
import { inWholePixels } from "./geometry";
import { openUpright, Unreadable } from "./open-photo";
import type { Asks, Gives } from "./photo-messages";

/** What the photo's worker does; it holds one photo, its cloth and one design; a second photo until it is laid flat. */

/** The shown photo's and the cloth picture's longest side. */
const PREVIEW_PX = 2000;
const CLOTH_PX = 1800;
const MOST_PX_PER_MM = 8;
const THREAD_MM = 0.4;

interface Held {
  photo: RgbaPicture | null;
  grey: GreyPicture | null;
  focal35Mm: number | null;
  cloth: GreyPicture | null;
  second: RgbaPicture | null;
  stitches: { readonly address: string; readonly drawn: StitchesDrawn } | null;
}

export type Telling = (doing: string) => void;
type Work = { [N in keyof Asks]: (given: Asks[N], tell: Telling) => Gives[N] | Promise<Gives[N]> };

const noPhoto = () =>
  new Unreadable({
    code: "photo-missing",
    title: "There is no photo",
    detail: "The photo is not there any more.",
    advice: "Take or choose it again.",
  });

const asImage = ({ data, widthPx, heightPx }: RgbaPicture): ImageData =>
  new ImageData(data as Uint8ClampedArray<ArrayBuffer>, widthPx, heightPx);

/** Lets what was told be shown before the next long stretch. */
const rest = () => new Promise((go) => setTimeout(go));

export function photoWork(): Work {
  const held: Held = { photo: null, grey: null, focal35Mm: null, cloth: null, second: null, stitches: null };
  return {
    open: async ({ file, lens, as }, tell) => {
      const began = performance.now();
      tell("Opening the photo");
      const { picture, focal35Mm } = await openUpright(file);
      tell("Looking for the hoop’s markers");
      await rest();
      const grey = greyOf(picture);
      if (as === "second") held.second = picture;
      else Object.assign(held, { photo: picture, grey, focal35Mm, cloth: null, second: null });
      const known = lens && lensBelief({ measured: lens, photo: picture, focal35Mm }).lens;
      const markers = findMarkers(grey, known ? { lens: known } : {});
      const { widthPx, heightPx } = picture;
      const scale = Math.min(1, PREVIEW_PX / Math.max(widthPx, heightPx));
      const preview = await createImageBitmap(asImage(picture), {
        resizeWidth: Math.round(widthPx * scale),
        resizeHeight: Math.round(heightPx * scale),
        resizeQuality: "medium",
      });
      const tookMs = performance.now() - began;
      return { size: { widthPx, heightPx }, focal35Mm, markers, preview, tookMs };
    },
    lay: async ({ as, lens, by, areaMm: asked }, tell) => {
      const began = performance.now();
      const photo = as === "second" ? held.second : held.photo;
      // Nothing is looked for in the second one after this; a photo is too large to be kept for nothing.
      held.second = null;
      if (!photo) throw noPhoto();
      tell("Reckoning how the hoop lies");
      await rest();
      const belief = lensBelief({ ...lens, photo });
      const view = by.way === "markers" ? viewHoop(by.hoop, by.seen, belief) : viewEdges(by.edges, belief);
      tell("Laying the cloth flat");
      await rest();
      const longest = Math.max(asked.rightMm - asked.leftMm, asked.topMm - asked.bottomMm);
      const pxPerMm = Math.min(MOST_PX_PER_MM, CLOTH_PX / longest);
      const areaMm = inWholePixels(asked, pxPerMm);
      const flat = rectify(photo, {
        homography: clothHomography(view),
        lens: view.lens,
        areaMm,
        pxPerMm,
      });
      if (as === "first") held.cloth = greyOf(flat);
      const picture = await createImageBitmap(asImage(flat));
      return { view, picture, areaMm, pxPerMm, tookMs: performance.now() - began };
    },
    snap: ({ where, from, to, reachPx }) => {
      const grey = where === "photo" ? held.grey : held.cloth;
      const found = grey && snapLine(grey, { from, to }, reachPx);
      if (!found) return null;
      const { from: begins, to: ends, movedPx, errorPx, angleErrorRad } = found;
      return { from: begins, to: ends, movedPx, errorPx, angleErrorRad };
    },
    direction: ({ at, radiusPx }) => directionAt(held.cloth, at, radiusPx),
    design: async (given) => {
      if (held.stitches?.address !== given.address)
        held.stitches = { address: given.address, drawn: await fetchStitches(given.address) };
      return drawDesign(held.stitches.drawn, given);
    },
    small: async ({ longestPx }) => {
      if (!held.photo) throw noPhoto();
      const { widthPx, heightPx } = held.photo;
      const scale = Math.min(1, longestPx / Math.max(widthPx, heightPx));
      const sheet = new OffscreenCanvas(Math.round(widthPx * scale), Math.round(heightPx * scale));
      const whole = await createImageBitmap(asImage(held.photo), {
        resizeWidth: sheet.width,
        resizeHeight: sheet.height,
        resizeQuality: "medium",
      });
      sheet.getContext("2d")!.drawImage(whole, 0, 0);
      return sheet.convertToBlob({ type: "image/jpeg", quality: 0.8 });
    },
  };
}

const refusedWords: Readonly<Record<TextureRefusal, string>> = {
  "too small": "There is too little cloth round this place. Touch further from the picture’s edge.",
  even: "The cloth shows no stripe or weave here. Touch two places on a line instead.",
  "no direction": "The cloth has no plain direction here. Touch two places on a line instead.",
};

function directionAt(
  grey: GreyPicture | null,
  at: Asks["direction"]["at"],
  radiusPx: number,
): Gives["direction"] {
  if (!grey) throw noPhoto();
  const found = textureDirection(grey, at, radiusPx);
  if ("refused" in found) return { refused: refusedWords[found.refused] };
  const [x, y] = [Math.cos(found.angleRad) * radiusPx, -Math.sin(found.angleRad) * radiusPx];
  return {
    from: { xPx: at.xPx - x, yPx: at.yPx - y },
    to: { xPx: at.xPx + x, yPx: at.yPx + y },
    errorRad: found.errorRad,
  };
}

/** Room round the outermost stitches for their thread, mm. */
const ROUND_MM = 1;

async function drawDesign(
  stitches: StitchesDrawn,
  { colours, pxPerMm, fromStitch }: Asks["design"],
): Promise<Gives["design"]> {
  const [left, bottom, right, top] = stitches.bounds.map((one) => one / 10) as [number, number, number, number]; // prettier-ignore
  const boxMm = {
    leftMm: left - ROUND_MM,
    rightMm: right + ROUND_MM,
    bottomMm: bottom - ROUND_MM,
    topMm: top + ROUND_MM,
  };
  const { widthPx, heightPx } = rectifiedSize({ areaMm: boxMm, pxPerMm });
  const view = { widthPx, heightPx, scale: pxPerMm, xMm: (left + right) / 2, yMm: (bottom + top) / 2 };
  const look = {
    colours,
    cloth: "#ffffff",
    threadMm: THREAD_MM,
    showJumps: false,
    onlyPart: null,
    upTo: stitches.count,
  };
  const ramps = colours.map(rampOf);
  const begin = recordOf(stitches, fromStitch);
  const drawn = async (from: number, to: number): Promise<ImageBitmap> => {
    const pixels = new Uint32Array(widthPx * heightPx);
    drawRecords({ width: widthPx, height: heightPx, pixels }, stitches, ramps, view, look, from, to);
    return createImageBitmap(new ImageData(new Uint8ClampedArray(pixels.buffer), widthPx, heightPx));
  };
  return { sewn: await drawn(0, begin), rest: await drawn(begin, stitches.count), boxMm };
}

/** The record of a stitch's number, from 1. */
export function recordOf({ kinds, count }: StitchesDrawn, stitch: number): number {
  if (stitch <= 1) return 0;
  let seen = 0;
  for (let i = 0; i < count; i++) if (kinds[i] === STITCH && ++seen === stitch) return i;
  return count;
}
