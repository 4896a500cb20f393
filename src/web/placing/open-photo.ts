import { alreadyTurned, pictureFacts, type RgbaPicture, turnedUpright } from "#core/placing/picture";
import type { PhotoTrouble } from "./photo-messages";

/** A photo's file as upright pixels. Runs in the worker. */

/** Photos larger than this are taken in smaller: no more is seen, and phones run out of memory. */
const MOST_PIXELS = 16_000_000;

export class Unreadable extends Error {
  constructor(readonly trouble: PhotoTrouble) {
    super(trouble.detail);
  }
}

/** On fewer px no mark is seen well enough; it is an icon, not a photo. */
const LEAST_SIDE_PX = 480;

/** "image/heic" → "HEIC": what the file calls itself, for the words of a refusal. */
const kindWords = (file: Blob, name: string): string => {
  const said = /\.(\w{2,5})$/.exec(name)?.[1] ?? file.type.split("/")[1] ?? "";
  return said === "" ? "" : ` (${said.toUpperCase()})`;
};

async function decoded(file: Blob): Promise<ImageBitmap> {
  if (file.size === 0)
    throw new Unreadable({
      code: "photo-empty",
      title: "This file is empty",
      detail: "There is nothing in it: the phone may not have finished saving or sending it.",
      advice: "Choose it again in a moment, or take another photo.",
    });
  try {
    const bitmap = await createImageBitmap(file);
    if (Math.max(bitmap.width, bitmap.height) >= LEAST_SIDE_PX) return bitmap;
    const size = `${bitmap.width} × ${bitmap.height} px`;
    bitmap.close();
    throw new Unreadable({
      code: "photo-too-small",
      title: "This picture is too small",
      detail: `It has ${size}; nothing can be measured in it.`,
      advice: "Choose the photo as the camera took it, not a preview of it, or take it anew.",
    });
  } catch (reason) {
    if (reason instanceof Unreadable) throw reason;
    throw new Unreadable({
      code: "photo-unreadable",
      title: "This picture cannot be opened here",
      detail: `The browser does not know how to open this file${kindWords(file, file instanceof File ? file.name : "")}.`,
      advice:
        "Take the photo from this page with the camera, or set the phone’s camera to save JPEG pictures and take it again. Without a photo, a tape measure does it too.",
    });
  }
}

export interface UprightPhoto {
  readonly picture: RgbaPicture;
  readonly focal35Mm: number | null;
}

/** Decodes and turns upright exactly once, whether or not the browser has turned the picture already. */
export async function openUpright(file: Blob): Promise<UprightPhoto> {
  const facts = pictureFacts(new Uint8Array(await file.arrayBuffer()));
  const bitmap = await decoded(file);
  const shrink = Math.min(1, Math.sqrt(MOST_PIXELS / (bitmap.width * bitmap.height)));
  const width = Math.round(bitmap.width * shrink);
  const height = Math.round(bitmap.height * shrink);
  const sheet = new OffscreenCanvas(width, height);
  const context = sheet.getContext("2d", { willReadFrequently: true })!;
  context.drawImage(bitmap, 0, 0, width, height);
  const stands = alreadyTurned(facts, { widthPx: bitmap.width, heightPx: bitmap.height });
  bitmap.close();
  const { data } = context.getImageData(0, 0, width, height);
  const picture: RgbaPicture = { widthPx: width, heightPx: height, data };
  return {
    // Browsers turn by the picture's notes unless told otherwise; one that does not shows by the sizes.
    picture: stands === "stored" ? (turnedUpright(picture, facts.orientation) as RgbaPicture) : picture,
    focal35Mm: facts.focal35Mm,
  };
}
