import { Button } from "@mantine/core";
import type { shapes } from "#contract";
import { useHabits } from "../parts/quantity";
import { ChooseFiles } from "./bring-in";
import { number, sourceWords } from "./words";

/** All versions of the design, newest first, and the way to bring in another. */
export function Versions({
  versions,
  shown,
  onVersion,
  onFiles,
}: {
  readonly versions: readonly shapes.DesignVersion[];
  readonly shown: shapes.DesignVersion;
  readonly onVersion: (version: shapes.DesignVersion) => void;
  readonly onFiles: (files: readonly File[]) => void;
}) {
  const { timeZone } = useHabits();
  const day = new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "short", timeZone });
  return (
    <section className="design-card-in sheet" aria-labelledby="versions-head">
      <h2 id="versions-head">Versions</h2>
      <p className="quiet">A new file becomes a new version; none is ever overwritten.</p>
      <ul className="design-versions">
        {versions.map((one) => (
          <li key={one.id}>
            <div>
              <b>Version {one.number}</b> <span className="quiet">{sourceWords[one.source]}</span>
              <br />
              <span className="quiet">
                {day.format(one.madeAtMs)}
                {one.fileName && ` · ${one.fileName}`} · {number.format(one.stitches)} stitches
              </span>
            </div>
            {one.id === shown.id ? (
              <span className="quiet">shown</span>
            ) : (
              <Button
                size="md"
                variant="default"
                onClick={() => onVersion(one)}
                aria-label={`Show version ${one.number}`}
              >
                Show
              </Button>
            )}
          </li>
        ))}
      </ul>
      <div style={{ marginTop: 12 }}>
        <ChooseFiles words="Bring in a new version" accept=".dst,.zip" many={false} onFiles={onFiles} />
      </div>
    </section>
  );
}
