const LETTERS = "0123456789abcdefghjkmnpqrstvwxyz";

function inLetters(value: number, length: number): string {
  let text = "";
  for (let rest = value; text.length < length; rest = Math.floor(rest / 32))
    text = LETTERS[rest % 32]! + text;
  return text;
}

/**
 * Makes ids such as `th_01jd3…`: a prefix, the time in ten letters so that ids sort by age, then ten by chance. The
 * time never goes back within a run, whatever the clock does.
 */
export function idMaker(nowMs: () => number, below: (bound: number) => number): (prefix: string) => string {
  let latest = 0;
  return (prefix) => {
    latest = Math.max(latest, Math.max(0, nowMs()));
    return `${prefix}_${inLetters(latest, 10)}${inLetters(below(2 ** 25), 5)}${inLetters(below(2 ** 25), 5)}`;
  };
}
