import { readArtwork } from "#app";
import { type Cloth, makeArtwork, type MadeArtwork, writeMachineFile } from "#core/stitch";
import { rgbFromHex } from "#core/thread";
import { designScene, svgFromScene } from "#drawing";
import type { DesignOutput } from "./design";

export interface ArtOptions {
  readonly width: number;
  readonly cloth: Cloth;
  readonly colours: number;
  readonly fill: "rows" | "along-the-edge";
  readonly angle?: number;
  readonly keepGround?: boolean;
  readonly out: string;
  readonly svg?: string;
}

/** Makes a design from a drawing or picture, writes it and, when asked, its picture. */
export function makeArt(file: string, options: ArtOptions, output: DesignOutput): MadeArtwork {
  const artwork = readArtwork(output.read(file), { mostColours: options.colours });
  const made = makeArtwork(artwork, {
    widthMm: options.width,
    cloth: options.cloth,
    mostColours: options.colours,
    fill: options.fill === "rows" ? "rows" : "along the edge",
    ground: options.keepGround ? "keep" : "leave out",
    ...(options.angle === undefined ? {} : { angleDeg: options.angle }),
  });
  output.write(options.out, writeMachineFile(made.stitches, labelOf(file)));
  if (options.svg !== undefined) {
    const threads = made.making.parts.map(({ colour }) => ({
      rgb: rgbFromHex(colour) ?? { r: 0, g: 0, b: 0 },
    }));
    output.write(
      options.svg,
      svgFromScene(designScene(made.stitches, threads, { label: `Artwork: ${labelOf(file)}` })),
    );
  }
  return made;
}

const labelOf = (file: string): string => file.replace(/^.*[\\/]/, "").replace(/\.\w+$/, "");
