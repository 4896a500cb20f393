/** Exact by definition (ISO 80000-3): one inch is 25.4 mm. */
export const MM_PER_INCH = 25.4;
/** The machine file's unit: a tenth of a millimetre. */
export const TENTHS_PER_MM = 10;

export const mmFromTenths = (tenths: number): number => tenths / TENTHS_PER_MM;
export const tenthsFromMm = (mm: number): number => Math.round(mm * TENTHS_PER_MM);

/** An axis-aligned box; empty when right < left. The unit is the caller's. */
export interface Box {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

/** A half-open span of time, [start, end), in whole seconds or milliseconds as the caller says. */
export interface Span {
  readonly start: number;
  readonly end: number;
}
