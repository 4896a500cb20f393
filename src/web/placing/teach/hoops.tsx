import type { Answer } from "#contract";
import { SHEET_FIRST_ID } from "#core/placing";
import { Button, NativeSelect } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { useAnswer, useChange } from "../../asking";
import { addressOf } from "../../client";
import { useAll } from "../../parts/all-of";
import { TextField } from "../../parts/form";
import { Waiting, TroubleSheet } from "../../parts/states";
import type { Printed } from "./page";
import { TeachHoop } from "./teach-hoop";

/** What a hoop is given where nothing else is asked for. */
const MARKERS_A_HOOP = 4;

export type TaughtHoop = Answer<"listTaughtHoops">["items"][number];

/** Hoops with markers of their own: printed, stuck on, taught once. */
export function TaughtHoops({ printed }: { readonly printed: Printed }) {
  const taught = useAnswer("placing", "listTaughtHoops", {});
  const hoops = useAll("hoops", "no");
  const [hoopId, setHoop] = useState("");
  const [label, setLabel] = useState("");
  const [teaching, setTeaching] = useState<string | null>(null);
  const add = useChange("addTaughtHoop", {
    lists: ["placing"],
    done: (hoop) => `${hoop.label} has its markers.`,
  });
  const open = (taught.data?.items ?? []).filter((one) => !one.archived);
  const free = SHEET_FIRST_ID - new Set(open.flatMap((one) => one.markerIds)).size;
  const putAway = useChange("changeTaughtHoop", {
    lists: ["placing"],
    done: (hoop) => `${hoop.label} is put away; its marker numbers are free again.`,
  });
  const kindOf = (id: string) => hoops.data?.find((hoop) => hoop.id === id)?.name ?? "hoop";
  const chosen = hoopId || hoops.data?.[0]?.id || "";
  return (
    <section className="sheet teach-sheet" aria-labelledby="teach-hoops-title">
      <h2 id="teach-hoops-title">3 · Teach a hoop</h2>
      <p>
        Four small markers on the hoop’s rim tell a photo how it lies. Each physical hoop has its own: print
        them, cut them out, stick them flat near the corners, and photograph the hoop on the grid sheet once.
      </p>
      <p className="caution">
        Magnetic hoops pinch, and their field can disturb implanted medical devices: keep them away from
        anyone who has one, and from cards and phones.
      </p>
      {taught.isPending ? (
        <Waiting words="Reading the hoops" />
      ) : taught.isError ? (
        <TroubleSheet trouble={taught.error} onAgain={() => void taught.refetch()} />
      ) : open.length === 0 ? (
        <p className="quiet">
          No hoop is taught yet. Without markers a hoop is found by lines over its inner edges, or by tape
          measure.
        </p>
      ) : (
        <ul className="teach-list">
          {open.map((one) => (
            <li key={one.id}>
              <b>{one.label}</b>
              <span className="quiet">
                {kindOf(one.hoopId)} · markers {one.markerIds.join(", ")} · {taughtWords(one)}
              </span>
              <a
                className="teach-link"
                href={addressOf("hoopMarkers", { id: one.id })}
                target="_blank"
                rel="noreferrer"
              >
                Print its markers
              </a>
              <Button
                size="md"
                variant="default"
                onClick={() => setTeaching(teaching === one.id ? null : one.id)}
              >
                {one.taught ? "Teach it again" : "Teach it"}
              </Button>
              <Button
                size="md"
                variant="subtle"
                loading={putAway.isPending && putAway.variables.params?.["id"] === one.id}
                onClick={() =>
                  putAway.mutate({
                    params: { id: one.id },
                    version: one.version,
                    body: { label: one.label, archived: true },
                  })
                }
              >
                Put it away
              </Button>
              {one.taught && (
                <Spread taught={one.taught} hoop={hoops.data?.find((hoop) => hoop.id === one.hoopId)} />
              )}
              {teaching === one.id && (
                <TeachHoop hoop={one} printed={printed} onDone={() => setTeaching(null)} />
              )}
            </li>
          ))}
        </ul>
      )}
      {taught.data && (
        <p className={free < MARKERS_A_HOOP ? "caution" : "quiet"}>
          {free < MARKERS_A_HOOP
            ? `All marker numbers are on hoops: ${free} of ${SHEET_FIRST_ID} are left, a hoop needs ${MARKERS_A_HOOP}. Put away a hoop that is not used any more, take its markers off, and its numbers are free again. A hoop without markers is placed by lines over its inner edges, or by tape measure.`
            : `${free} of ${SHEET_FIRST_ID} marker numbers are free: enough for ${Math.floor(free / MARKERS_A_HOOP)} more.`}
        </p>
      )}
      {hoops.data?.length === 0 && (
        <p className="quiet">
          There is no kind of hoop yet.{" "}
          <Link to="/machines" search={{ leaf: "hoops" } as never}>
            Enter the hoops first
          </Link>
          .
        </p>
      )}
      {hoops.data && hoops.data.length > 0 && free >= MARKERS_A_HOOP && (
        <form
          className="teach-add"
          onSubmit={(event) => {
            event.preventDefault();
            add.mutate({ body: { hoopId: chosen, label: label.trim() } }, { onSuccess: () => setLabel("") });
          }}
        >
          <NativeSelect
            size="md"
            label="Kind of hoop"
            value={chosen}
            onChange={(event) => setHoop(event.currentTarget.value)}
            data={hoops.data.map((hoop) => ({ value: hoop.id, label: hoop.name }))}
          />
          <TextField
            label="Which of them"
            value={label}
            onChange={setLabel}
            placeholder={`${kindOf(chosen)} 1`}
          />
          <Button size="md" type="submit" disabled={label.trim() === ""} loading={add.isPending}>
            Give it markers
          </Button>
        </form>
      )}
    </section>
  );
}

const taughtWords = ({ taught }: TaughtHoop): string =>
  taught
    ? `taught on ${new Date(taught.atMs).toLocaleDateString()} from ${taught.photos} ${taught.photos === 1 ? "photo" : "photos"}`
    : "not taught yet";

/** An opening that is so much smaller than the field was taught wrong, or the field was entered wrong. */
const LESS_MM = 3;

interface HoopField {
  readonly fieldWidthMm: number;
  readonly fieldHeightMm: number;
}

/** How well each marker's place is known, and what is wrong with what was taught. */
function Spread({
  taught,
  hoop,
}: {
  readonly taught: NonNullable<TaughtHoop["taught"]>;
  readonly hoop: HoopField | undefined;
}) {
  const opening = `${taught.innerWidthMm.toFixed(1)} × ${taught.innerHeightMm.toFixed(1)} mm`;
  const isSmaller =
    hoop !== undefined &&
    (taught.innerWidthMm < hoop.fieldWidthMm - LESS_MM ||
      taught.innerHeightMm < hoop.fieldHeightMm - LESS_MM);
  return (
    <>
      {taught.findings.map((finding) => (
        <p key={finding.code + finding.message} className="caution">
          {finding.message} {finding.advice}
        </p>
      ))}
      {isSmaller && (
        <p className="caution">
          By its lines the opening is {opening}, less than the field of {hoop.fieldWidthMm} ×{" "}
          {hoop.fieldHeightMm} mm that was entered for this kind of hoop. Lay the lines on the inner edges
          again, or look at the hoop’s record.
        </p>
      )}
      <details className="teach-spread">
        <summary>
          Opening {opening}; cloth {taught.clothBelowMm.toFixed(1)} mm under the markers
        </summary>
        <ul>
          {taught.markers.map(({ id, cornersMm, spreadMm }) => {
            const mean = (key: "xMm" | "yMm") =>
              cornersMm.reduce((sum, one) => sum + one[key], 0) / cornersMm.length;
            return (
              <li key={id}>
                Marker {id}: {mean("xMm").toFixed(1)} mm across, {mean("yMm").toFixed(1)} mm away, known to ±
                {spreadMm.toFixed(2)} mm
              </li>
            );
          })}
        </ul>
      </details>
    </>
  );
}
