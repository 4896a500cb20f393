import type { shapes } from "#contract";
import { NeedleMap } from "../parts/needle-map";
import { lengthWords, sizeWords } from "../parts/quantity";
import type { DesignNeedles } from "./design-needles";
import type { MachinePace } from "./machine-choice";
import { aboutWords, heightOf, metresWords, number, sewingSeconds, widthOf } from "./words";

/** What the version measures, and how long it sews on the chosen machine. */
export function Facts({
  version,
  unit,
  pace,
}: {
  readonly version: shapes.DesignVersion;
  readonly unit: "mm" | "inch";
  readonly pace: MachinePace;
}) {
  const seconds = sewingSeconds(version, pace);
  const threadMm = version.parts.reduce((sum, part) => sum + part.threadMm, 0);
  const facts = [
    ["size", sizeWords(widthOf(version), heightOf(version), unit), "is-wide"],
    ["stitches", number.format(version.stitches)],
    [
      pace.machine
        ? `on ${pace.machine}, at ${pace.stitchesPerMinute} a minute`
        : `at ${pace.stitchesPerMinute} a minute`,
      aboutWords(seconds),
      "is-wide",
    ],
    ["thread", metresWords(threadMm)],
    ["colour stops", number.format(version.stops)],
    ["trims", number.format(version.trims)],
    ["jumps", number.format(version.jumps)],
    ["longest stitch", lengthWords(version.longestMm, unit)],
    ["shortest stitch", lengthWords(version.shortestMm, unit)],
    ["densest", `${number.format(version.densestPerMm2)} per mm²`],
  ] as const;
  return (
    <section className="design-card-in sheet" aria-label="Facts">
      <dl className="design-facts">
        {facts.map(([term, value, wide]) => (
          <div key={term} className={wide}>
            <dt>{term}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

interface NeedlesProps {
  readonly machines: readonly shapes.MachineRecord[];
  readonly chosen: shapes.MachineRecord | undefined;
  readonly onMachine: (id: string) => void;
  readonly needles: DesignNeedles;
  readonly threads: ReadonlyMap<string, shapes.ThreadRecord>;
}

/** The machine it is looked at for, with its needles: which sews what, and what would have to be put on. */
export function Needles({ machines, chosen, onMachine, needles, threads }: NeedlesProps) {
  if (!chosen)
    return (
      <section className="design-card-in sheet" aria-labelledby="needles-head">
        <h2 id="needles-head">Needles</h2>
        <p className="quiet">
          No embroidery machine is entered yet. Enter one on Machines to see which needle sews what.
        </p>
      </section>
    );
  const face = (id: string | null) => (id === null ? null : (threads.get(id) ?? null));
  const parts = (needle: number) =>
    needles.byPart.flatMap((on, part) => (on === needle ? [part + 1] : [])).join(", ");
  return (
    <section className="design-card-in sheet" aria-labelledby="needles-head">
      <h2 id="needles-head">Needles</h2>
      <label className="design-machine">
        <span>on machine</span>
        <select
          className="plain-select"
          value={chosen.id}
          onChange={(event) => onMachine(event.currentTarget.value)}
        >
          {machines.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <p className="quiet">{threadingWords(needles, threads)}</p>
      <NeedleMap
        size="small"
        label={`Needles of ${chosen.name}`}
        needles={chosen.needles.map((needle, index) => {
          const wanted = needles.wanted[index] ?? null;
          const change = wanted !== null && wanted !== needle.threadId;
          return {
            number: needle.number,
            thread: face(wanted ?? needle.threadId),
            change,
            was: change ? face(needle.threadId) : null,
            fixed: needle.fixed,
            used: wanted !== null,
            ...(wanted === null ? {} : { note: `part ${parts(needle.number)}` }),
          };
        })}
      />
    </section>
  );
}

function threadingWords(needles: DesignNeedles, threads: ReadonlyMap<string, shapes.ThreadRecord>): string {
  const without = needles.without.map((id) => threads.get(id)?.code ?? "a thread").join(", ");
  if (needles.without.length > 0) return `Too few needles: the machine stops in the middle for ${without}.`;
  if (needles.byPart.every((needle) => needle === null))
    return "Choose the parts’ threads to see their needles.";
  return needles.toThread === 0
    ? "All its threads are on."
    : `${needles.toThread} ${needles.toThread === 1 ? "thread" : "threads"} to put on first.`;
}
