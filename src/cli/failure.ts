import { Refusal } from "#core/base";

/** The command line or the input is wrong: exit status 2. */
export class WrongInput extends Error {}

/** Statuses that say the input was at fault; the others say that the work could not be done. */
const inputStatuses: ReadonlySet<number> = new Set([400, 404, 413, 415, 422]);

/** Says on standard error what went wrong and what to do; gives the exit status of CONTRACT.md. */
export function reportFailure(error: unknown): 1 | 2 {
  const say = (text: string) => process.stderr.write(`${text}\n`);
  if (error instanceof Refusal) {
    say(error.message);
    for (const one of error.details) {
      const parts = [
        one.field,
        one.found && `found ${one.found}`,
        one.expected && `expected ${one.expected}`,
      ].filter(Boolean);
      if (parts.length > 1) say(`  ${parts.join(": ").replace(": expected", ", expected")}`);
    }
    say(error.kind.advice);
    return inputStatuses.has(error.kind.status) ? 2 : 1;
  }
  if (error instanceof WrongInput) {
    say(error.message);
    return 2;
  }
  say(error instanceof Error ? (error.stack ?? error.message) : String(error));
  return 1;
}
