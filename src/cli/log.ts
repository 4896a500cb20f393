import type { Context } from "#app";

/** Progress and trouble in words on standard error; standard output belongs to answers. */
export function errorLog(): Context["log"] {
  const line = (text: string) => void process.stderr.write(`${text}\n`);
  return {
    info: (message) => line(message),
    warn: (message) => line(message),
    error(message, detail) {
      const { error, ...rest } = (detail ?? {}) as { error?: unknown };
      line(`${new Date().toISOString()} ${message} ${JSON.stringify(rest)}`);
      if (error !== undefined) line(error instanceof Error ? (error.stack ?? error.message) : String(error));
    },
  };
}
