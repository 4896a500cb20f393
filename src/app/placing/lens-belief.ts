import { type LensBelief, lensBelief } from "#core/placing";
import type { Phone } from "./records";

interface Size {
  readonly widthPx: number;
  readonly heightPx: number;
}

/** What is believed of the lens a phone's photo was taken with. */
export const beliefFor = (phone: Phone | null, photo: Size, focal35Mm: number | null): LensBelief =>
  lensBelief({ measured: phone?.lens ?? null, photo, focal35Mm });
