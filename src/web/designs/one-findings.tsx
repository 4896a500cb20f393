import { Button } from "@mantine/core";
import { useEffect, useState } from "react";
import type { shapes } from "#contract";
import { type Cloth, mendsFor } from "#core/stitch";
import { placesOfFinding } from "./finding-places";
import { levelWords } from "./words";

interface FindingsProps {
  readonly findings: readonly shapes.FindingShape[];
  /** What they were looked for: the machine's name, and the cloth chosen. */
  readonly machine: string | null;
  readonly cloth: Cloth | null;
  readonly onCloth: (cloth: Cloth | null) => void;
  readonly chosen: string | null;
  /** Shows a place of a finding; its part where it has no place. */
  readonly onShow: (index: number, place: number) => void;
  /** Opens the mends with these chosen. */
  readonly onMend: (codes: readonly string[]) => void;
}

/** What the checks found: each says where and why, is shown on the picture, and offers its mend where one exists. */
export function Findings({ findings, machine, cloth, onCloth, chosen, onShow, onMend }: FindingsProps) {
  useEffect(() => {
    if (chosen !== null) document.getElementById(`finding-${chosen}`)?.scrollIntoView({ block: "nearest" });
  }, [chosen]);
  const [shown, setShown] = useState({ index: -1, place: -1 });
  const all = [...new Set(findings.flatMap(({ code }) => mendsFor(code).map((mend) => mend.code)))];
  return (
    <section className="design-card-in sheet" aria-labelledby="findings-head">
      <h2 id="findings-head">{findings.length === 0 ? "Nothing to mend" : "What was found"}</h2>
      <label className="design-machine">
        <span>{machine === null ? "sewn" : `sewn on ${machine},`} on</span>
        <select
          className="plain-select"
          value={cloth ?? ""}
          onChange={(event) => onCloth((event.currentTarget.value || null) as Cloth | null)}
        >
          <option value="">any cloth</option>
          <option value="woven">woven cloth</option>
          <option value="knit">knit</option>
          <option value="pile">pile</option>
        </select>
      </label>
      {findings.length === 0 && (
        <p className="quiet">
          The stitches were checked for length, cover, density, columns, trims, ties and the file’s own
          counts.
        </p>
      )}
      <ol className="design-findings">
        {findings.map((finding, index) => {
          const mends = mendsFor(finding.code);
          const places = placesOfFinding(finding).length;
          const next = shown.index === index ? (shown.place + 1) % Math.max(1, places) : 0;
          return (
            <li key={index} id={`finding-${index}`} data-chosen={chosen === String(index) || undefined}>
              <span className={`finding-number is-${finding.level}`} aria-hidden>
                {index + 1}
              </span>
              <div>
                <b>{levelWords[finding.level]}</b>
                <p>{finding.message}</p>
                {finding.advice && <p className="quiet">{finding.advice}</p>}
                <div className="finding-acts">
                  {(finding.at?.xTenths !== undefined || finding.at?.part !== undefined) && (
                    <Button
                      size="md"
                      variant="subtle"
                      px={8}
                      onClick={() => {
                        setShown({ index, place: next });
                        onShow(index, next);
                      }}
                    >
                      {places > 1
                        ? `Show place ${next + 1} of ${places}`
                        : finding.at.xTenths !== undefined
                          ? "Show the place"
                          : `Show part ${finding.at.part! + 1}`}
                    </Button>
                  )}
                  {mends.length > 0 && (
                    <Button
                      size="md"
                      variant="default"
                      onClick={() => onMend(mends.map(({ code }) => code))}
                      aria-label={`Mend finding ${index + 1}: ${mends.map(({ title }) => title).join(", ")}`}
                    >
                      Mend …
                    </Button>
                  )}
                </div>
              </div>
            </li>
          );
        })}
      </ol>
      <div className="finding-all">
        <Button size="md" variant="default" onClick={() => onMend(all)}>
          {all.length > 0 ? "Mend all of it …" : "Mends …"}
        </Button>
      </div>
    </section>
  );
}
