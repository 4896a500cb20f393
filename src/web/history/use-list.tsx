import { minutesWords, share } from "./uses";

/** What all of the minutes went on, with what each means. */
export function UseList({
  seconds,
  uses,
}: {
  readonly seconds: Readonly<Record<string, number>>;
  readonly uses: readonly {
    readonly use: string;
    readonly words: string;
    readonly means: string;
    readonly fill: string;
  }[];
}) {
  const all = Object.values(seconds).reduce((sum, one) => sum + one, 0);
  return (
    <ul className="history-uses">
      {uses
        .filter(({ use }) => (seconds[use] ?? 0) >= 30)
        .map(({ use, words, means, fill }) => (
          <li key={use}>
            <svg aria-hidden>
              <rect width="26" height="26" fill={fill} />
            </svg>
            <b>{words}</b>
            <span>
              {minutesWords(seconds[use]!)} · {share(seconds[use]!, all)}
            </span>
            <span className="quiet">{means}</span>
          </li>
        ))}
    </ul>
  );
}
