import type { shapes } from "#contract";
import { placesOfFinding } from "../finding-places";
import { levelWords } from "../words";
import { type Making, wordsOf } from "./making";

/** What was found about the making; what has a place can be shown on the picture. */
export function Found({
  making,
  preview,
  marked,
  onMark,
  onShow,
}: {
  readonly making: Making;
  readonly preview: shapes.MadePreview | null;
  /** The finding whose places are shown. */
  readonly marked: string | null;
  readonly onMark: (code: string | null) => void;
  readonly onShow: (key: string) => void;
}) {
  if (!preview) return null;
  const own = preview.items.flatMap((item) => {
    const one = making.items.find((other) => other.key === item.key);
    return item.findings.map((finding) => ({ finding, key: item.key, words: one ? wordsOf(one) : "" }));
  });
  const all = [...own, ...preview.findings.map((finding) => ({ finding, key: null, words: "" }))];
  if (all.length === 0) return <p className="quiet making-note">Nothing was found to mend.</p>;
  return (
    <section className="making-card sheet" aria-labelledby="found-head">
      <h2 id="found-head">What was found</h2>
      <ul className="making-found">
        {all.map(({ finding, key, words }, at) => {
          const places = key === null ? placesOfFinding(finding).length : 0;
          return (
            <li key={at} className={`is-${finding.level}`}>
              <b>{levelWords[finding.level]}</b>
              {key && making.items.length > 1 && (
                <button type="button" className="making-thing-link" onClick={() => onShow(key)}>
                  {words}
                </button>
              )}
              <span>{finding.message}</span>
              {finding.advice && <span className="quiet">{finding.advice}</span>}
              {places > 0 && (
                <button
                  type="button"
                  className="making-thing-link"
                  aria-pressed={marked === finding.code}
                  onClick={() => onMark(marked === finding.code ? null : finding.code)}
                >
                  {marked === finding.code ? "Hide on the picture" : places === 1 ? "Show on the picture" : `Show ${places} places on the picture`}
                </button>
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
} // prettier-ignore
