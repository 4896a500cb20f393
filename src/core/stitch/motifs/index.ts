import type { Cloth } from "../cloth";
import { refuseStitches } from "../refusals";
import type { Stitches } from "../stitches";
import { anchor } from "./anchor";
import { bucket } from "./bucket";
import { bunting } from "./bunting";
import { crab } from "./crab";
import { crest } from "./crest";
import { fish } from "./fish";
import { gull } from "./gull";
import { lighthouse } from "./lighthouse";
import { type Motif, MOTIF_COLOURS, sewMotif } from "./motif";
import { oar } from "./oar";
import { rope } from "./rope";
import { sailBoat } from "./sail-boat";
import { shell } from "./shell";
import { starfish } from "./starfish";
import { sun } from "./sun";
import { wave } from "./wave";

/** The pictures of the demo studio, all drawn by us, in the order they are shown. */
export const DEMO_MOTIFS: readonly Motif[] = [
  anchor,
  gull,
  wave,
  sailBoat,
  lighthouse,
  starfish,
  shell,
  crab,
  fish,
  sun,
  bunting,
  bucket,
  oar,
  rope,
  crest,
];

export interface MadeMotif {
  readonly stitches: Stitches;
  readonly title: string;
  /** A plain colour name and its default colour for each part, in sewing order. */
  readonly colours: readonly { readonly name: string; readonly hex: string }[];
}

/**
 * The demo picture of that name, made at that width.
 * @throws Refusal motif-unknown, naming those there are.
 */
export function demoMotif(
  name: string,
  options: { readonly widthMm: number; readonly cloth?: Cloth },
): MadeMotif {
  const motif = DEMO_MOTIFS.find((one) => one.name === name);
  if (motif === undefined) {
    const names = DEMO_MOTIFS.map((one) => one.name).join(", ");
    throw refuseStitches("motif-unknown", `There is no picture “${name}”; there are ${names}.`);
  }
  return {
    stitches: sewMotif(motif, options),
    title: motif.title,
    colours: motif.parts.map(({ colour }) => ({ name: colour, hex: MOTIF_COLOURS[colour] })),
  };
}
