/** What we use of the general colour library, which brings no types: reading CSS colours, and what tests hold ours against. */
declare module "culori" {
  interface Lab65 {
    readonly mode: "lab65";
    readonly l: number;
    readonly a: number;
    readonly b: number;
  }
  interface Rgb {
    readonly mode: "rgb";
    readonly r: number;
    readonly g: number;
    readonly b: number;
    readonly alpha?: number;
  }
  interface Colour {
    readonly mode: string;
  }
  export function parse(text: string): Colour | undefined;
  export function rgb(colour: Colour | undefined): Rgb | undefined;
  export function converter(mode: "lab65"): (colour: string) => Lab65 | undefined;
  export function differenceCiede2000(): (one: Lab65, two: Lab65) => number;
}
