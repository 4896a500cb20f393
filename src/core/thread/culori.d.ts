/** The two functions of the general colour library that the tests hold ours against; it brings no types. */
declare module "culori" {
  interface Lab65 {
    readonly mode: "lab65";
    readonly l: number;
    readonly a: number;
    readonly b: number;
  }
  export function converter(mode: "lab65"): (colour: string) => Lab65 | undefined;
  export function differenceCiede2000(): (one: Lab65, two: Lab65) => number;
}
