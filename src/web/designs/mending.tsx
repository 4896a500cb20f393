import { Button } from "@mantine/core";
import { useQuery } from "@tanstack/react-query";
import { useEffect, useRef } from "react";
import type { shapes } from "#contract";
import { DESIGN_MENDS } from "#core/stitch";
import { useChange } from "../asking";
import { StitchPicture } from "../canvas/stitch-picture";
import { addressOf, ask, type Trouble } from "../client";
import { TroubleSheet, Waiting } from "../parts/states";
import { metresWords, number } from "./words";

export interface MendChoice {
  readonly mends: readonly string[];
  readonly cloth: "woven" | "knit" | "pile" | null;
}

interface MendingProps {
  readonly design: shapes.DesignRecord;
  readonly version: shapes.DesignVersion;
  readonly choice: MendChoice;
  readonly onChoice: (choice: MendChoice) => void;
  readonly onClose: () => void;
  readonly onKept: (version: shapes.DesignVersion) => void;
  readonly colourOf: (threadId: string | null) => string;
}

const clothWords = { woven: "woven cloth", knit: "knit", pile: "pile" } as const;

/** Mends chosen, what they would change, before and after side by side; nothing is kept until it is asked for. */
export function Mending({ design, version, choice, onChoice, onClose, onKept, colourOf }: MendingProps) {
  const head = useRef<HTMLHeadingElement>(null);
  useEffect(() => head.current?.focus(), []);
  const mends = DESIGN_MENDS.map(({ code }) => code).filter((code) => choice.mends.includes(code)) as shapes.MendCode[]; // prettier-ignore
  const body = { mends, cloth: choice.cloth };
  const seen = useQuery<shapes.MendsSeen, Trouble>({
    queryKey: ["designs", "previewMends", version.id, body],
    queryFn: async ({ signal }) =>
      (await ask("previewMends", { params: { id: version.id }, body, signal })).value,
    enabled: mends.length > 0,
  });
  const keep = useChange("mendDesign", {
    lists: ["designs"],
    done: (kept) => `Version ${kept.number} of ${design.name} is the mended one.`,
  });
  const changes = seen.data?.done.some(({ changed }) => changed > 0) ?? false;
  const toggle = (code: string) =>
    onChoice({
      ...choice,
      mends: choice.mends.includes(code)
        ? choice.mends.filter((one) => one !== code)
        : [...choice.mends, code],
    });
  return (
    <section className="mending sheet" aria-labelledby="mending-head">
      <div className="mending-head">
        <h2 id="mending-head" ref={head} tabIndex={-1}>
          Mend the stitches of version {version.number}
        </h2>
        <label className="design-machine">
          <span>sewn on</span>
          <select
            className="plain-select"
            value={choice.cloth ?? ""}
            onChange={(event) =>
              onChoice({ ...choice, cloth: (event.currentTarget.value || null) as MendChoice["cloth"] })
            }
          >
            <option value="">not said</option>
            {Object.entries(clothWords).map(([cloth, words]) => (
              <option key={cloth} value={cloth}>
                {words}
              </option>
            ))}
          </select>
        </label>
      </div>
      <div className="mending-room">
        <fieldset className="mending-choice">
          <legend className="visually-hidden">Mends</legend>
          {DESIGN_MENDS.map(({ code, title, about }) => {
            const did = seen.data?.done.find((one) => one.code === code);
            return (
              <label key={code} className="mending-one">
                <input type="checkbox" checked={choice.mends.includes(code)} onChange={() => toggle(code)} />
                <span>
                  <b>{title}</b>
                  <span className="quiet">{about}</span>
                  {choice.mends.includes(code) && did && (
                    <span className={did.changed > 0 ? "mending-did" : "quiet"}>
                      {did.changed > 0 ? did.says : `nothing to do: ${did.says}`}
                    </span>
                  )}
                </span>
              </label>
            );
          })}
        </fieldset>
        <div className="mending-seen" aria-busy={seen.isFetching}>
          {mends.length === 0 && <p className="quiet">Choose a mend to see what it does.</p>}
          {mends.length > 0 && seen.isPending && <Waiting words="Mending a copy to look at" />}
          {seen.isError && <TroubleSheet trouble={seen.error} onAgain={() => void seen.refetch()} />}
          {mends.length > 0 && seen.data && (
            <>
              <div className="mending-pictures">
                <figure>
                  <StitchPicture
                    address={addressOf("designStitches", { id: version.id })}
                    colours={version.parts.map((part) => colourOf(part.threadId))}
                    label={`${design.name} as it is`}
                  />
                  <figcaption>
                    <b>before</b> {countWords(seen.data.before)}
                  </figcaption>
                </figure>
                <figure>
                  <StitchPicture
                    key={JSON.stringify(body)}
                    address={`${addressOf("mendedStitches", { id: version.id })}?mends=${mends.join(",")}${choice.cloth ? `&cloth=${choice.cloth}` : ""}`}
                    colours={seen.data.threadIds.map(colourOf)}
                    label={`${design.name} mended`}
                  />
                  <figcaption>
                    <b>after</b> {countWords(seen.data.after)}
                  </figcaption>
                </figure>
              </div>
              <Outcome seen={seen.data} />
            </>
          )}
          <div className="design-edit-acts">
            <Button size="md" variant="subtle" onClick={onClose}>
              Leave it as it is
            </Button>
            <Button
              size="md"
              disabled={!changes || seen.isFetching}
              loading={keep.isPending}
              onClick={() =>
                keep.mutate({ params: { id: version.id }, body }, { onSuccess: ({ value }) => onKept(value) })
              }
            >
              Keep as a new version
            </Button>
          </div>
        </div>
      </div>
    </section>
  );
}

const countWords = (counts: shapes.MendsSeen["before"]) =>
  `${number.format(counts.stitches)} stitches, ${counts.stops} stops, ${counts.trims} trims, ${metresWords(counts.threadMm)}, densest ${counts.densestPerMm2} per mm²`;

function Outcome({ seen }: { readonly seen: shapes.MendsSeen }) {
  const groups = [
    ["Gone", seen.gone, "is-gone"],
    ["Left", seen.left, "is-left"],
    ["New", seen.come, "is-come"],
  ] as const;
  return (
    <dl className="mending-outcome">
      {groups.map(([word, findings, look]) =>
        findings.length === 0 && word !== "Gone" ? null : (
          <div key={word} className={look}>
            <dt>{word}</dt>
            <dd>
              {findings.length === 0 ? (
                "no finding"
              ) : (
                <ul>
                  {findings.map((finding, index) => (
                    <li key={index}>{finding.message}</li>
                  ))}
                </ul>
              )}
            </dd>
          </div>
        ),
      )}
    </dl>
  );
}
