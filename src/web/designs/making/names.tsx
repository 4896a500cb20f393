import { Button, Progress, Textarea } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { Link } from "@tanstack/react-router";
import { useEffect, useState } from "react";
import type { shapes } from "#contract";
import { ask, addressOf, Trouble } from "../../client";
import { ChoiceField, choicesOf, NumberField, Row } from "../../parts/form";
import { PageHead } from "../../parts/page-head";
import { LengthField } from "../../parts/quantity";
import { saveFile } from "../../parts/save-file";
import { DesignSelect } from "../../studio/design-select";
import { findingsWords, number } from "../words";
import { FaceField } from "./lettering-fields";
import { ThreadSelect } from "./thread-select";
import { usePlacements } from "./use-placements";
import "../designs.css";
import "./making.css";

type Recipe = shapes.NameRecipe;
type Run = shapes.NamesRun;

const first: Recipe = {
  cloth: "woven",
  face: "alphabet:upright",
  heightMm: 15,
  leastHeightMm: 8,
  maxWidthMm: 90,
  arcDeg: 0,
  place: "alone",
  designId: null,
  threadId: null,
};
const namesOf = (text: string) =>
  text
    .split(/\r?\n/)
    .map((line) => line.trim())
    .filter((line) => line !== "")
    .slice(0, 2000);

/** Names in numbers: a list of names by one recipe, each with its picture and what was found. */
export function NamesPage() {
  const [recipe, setRecipe] = useState(first);
  const [text, setText] = useState("");
  const [run, setRun] = useState<Run | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [from, setFrom] = useState("");
  const queries = useQueryClient();
  const names = namesOf(text);
  const set = (change: Partial<Recipe>) => setRecipe((before) => ({ ...before, ...change }));
  const places = usePlacements().flatMap((place) =>
    place.placement.lettering ? [{ ...place, lettering: place.placement.lettering }] : [],
  );
  const take = (key: string) => {
    setFrom(key);
    const place = places.find((one) => one.key === key);
    if (!place) return;
    const { lettering, placement, product } = place;
    setRecipe({
      cloth: product.cloth,
      face: lettering.face ?? "alphabet:upright",
      heightMm: lettering.heightMm,
      leastHeightMm: lettering.leastHeightMm ?? null,
      maxWidthMm: lettering.maxWidthMm,
      arcDeg: lettering.arcDeg ?? 0,
      place: lettering.place,
      designId: placement.designId,
      threadId: lettering.threadId,
      ...(lettering.further ? { further: lettering.further } : {}),
    });
  };
  const running = run?.state === "running";
  const runId = run?.id;
  useEffect(() => {
    if (!running || !runId) return;
    const control = new AbortController();
    const timer = window.setInterval(() => {
      ask("readNames", { params: { id: runId }, signal: control.signal }).then(
        ({ value }) => {
          setRun(value);
          if (value.state !== "running") void queries.invalidateQueries({ queryKey: ["designs"] });
        },
        (reason: unknown) =>
          !control.signal.aborted &&
          setWrong(reason instanceof Trouble ? reason.problem.detail : String(reason)),
      );
    }, 400);
    return () => {
      window.clearInterval(timer);
      control.abort();
    };
  }, [running, runId, queries]);
  const begin = async () => {
    setWrong(null);
    try {
      setRun(
        (
          await ask("makeNames", {
            body: { recipe, names: names.map((one) => ({ text: one, threadId: null })) },
          })
        ).value,
      );
    } catch (reason) {
      setWrong(
        reason instanceof Trouble ? `${reason.problem.detail} ${reason.problem.advice}` : String(reason),
      );
    }
  };
  return (
    <div className="making">
      <PageHead
        title="Names"
        lead="A list of names, each made into a design by one recipe. Orders make theirs by themselves; this is for lists, and for trying a recipe."
      />
      <div className="names-room">
        <div className="making-right">
          <section className="making-card sheet" aria-labelledby="list-head">
            <h2 id="list-head">Names</h2>
            <Textarea
              size="md"
              label="One name a line"
              placeholder={"Olivia\nBartholomew\nZoë"}
              autosize
              minRows={6}
              maxRows={14}
              value={text}
              onChange={(event) => setText(event.currentTarget.value)}
            />
            <p className="quiet making-note">
              {names.length === 0
                ? "Paste a column of your sheet."
                : `${number.format(names.length)} ${names.length === 1 ? "name" : "names"}`}
            </p>
            {(recipe.further ?? []).length > 0 && (
              <p className="quiet making-note">
                The recipe has {recipe.further!.length + 1} text lines: write them with a slash between, as
                Ada / 2019.
              </p>
            )}
            {wrong && (
              <p role="alert" className="making-wrong">
                {wrong}
              </p>
            )}
            <div className="making-adds">
              <Button size="md" disabled={names.length === 0 || running} onClick={() => void begin()}>
                Make {names.length > 1 ? `${number.format(names.length)} designs` : "the design"}
              </Button>
            </div>
          </section>
          <section className="making-card sheet making-fields" aria-labelledby="recipe-head">
            <h2 id="recipe-head">Recipe</h2>
            <ChoiceField
              label="As a product’s placement has it"
              value={from}
              choices={[
                { value: "", words: "of its own" },
                ...places.map(({ key, words }) => ({ value: key, words })),
              ]}
              onChange={take}
            />
            <FaceField value={recipe.face} onChange={(face) => set({ face })} />
            <Row>
              <LengthField
                label="Height"
                value={recipe.heightMm}
                onChange={(heightMm) => set({ heightMm: heightMm ?? Number.NaN })}
              />
              <LengthField
                label="Not under"
                usual="as low as sews"
                value={recipe.leastHeightMm}
                onChange={(leastHeightMm) => set({ leastHeightMm })}
              />
            </Row>
            <Row>
              <LengthField
                label="At most this wide"
                hint="longer names are made lower"
                value={recipe.maxWidthMm}
                onChange={(maxWidthMm) => set({ maxWidthMm: maxWidthMm ?? Number.NaN })}
              />
              <NumberField
                label="On an arc of"
                unit="°"
                min={-330}
                value={recipe.arcDeg}
                onChange={(arcDeg) => set({ arcDeg: arcDeg ?? Number.NaN })}
              />
            </Row>
            <ChoiceField
              label="Cloth"
              value={recipe.cloth}
              choices={choicesOf({ woven: "woven", knit: "knit", pile: "pile" })}
              onChange={(cloth) => set({ cloth })}
            />
            <ChoiceField
              label="Place"
              value={recipe.place}
              choices={choicesOf({
                alone: "alone, no design",
                below: "below the design",
                above: "above the design",
              })}
              onChange={(place) => set({ place })}
            />
            {recipe.place !== "alone" && (
              <DesignSelect
                label="The design"
                hint="its newest version is taken"
                value={recipe.designId}
                onChange={(designId) => set({ designId })}
                error={undefined}
              />
            )}
            <ThreadSelect
              label="Thread of the names"
              value={recipe.threadId}
              onChange={(threadId) => set({ threadId })}
            />
          </section>
        </div>
        <NamesMade
          run={run}
          onStop={() =>
            run &&
            void ask("stopNames", { params: { id: run.id } }).then(
              ({ value }) => setRun(value),
              () => undefined,
            )
          }
        />
      </div>
    </div>
  );
}

function NamesMade({ run, onStop }: { readonly run: Run | null; readonly onStop: () => void }) {
  if (!run)
    return (
      <div className="state sheet">
        <h2>Each name with its picture</h2>
        <p>What does not fit, and what letters are missing, is said before anything is planned.</p>
      </div>
    );
  const bad = run.names.filter((name) => name.versionId === null).length;
  return (
    <section className="making-card sheet" aria-labelledby="made-head">
      <h2 id="made-head" role="status">
        {run.state === "running"
          ? `Making ${number.format(run.done)} of ${number.format(run.of)}`
          : `${number.format(run.names.length - bad)} made${bad > 0 ? `, ${bad} could not be` : ""}${run.state === "stopped" ? "; stopped" : ""} · ${(run.tookMs / 1000).toFixed(1)} s`}
      </h2>
      {run.state === "running" && <Progress value={(100 * run.done) / run.of} aria-label="Names made" />}
      {run.failure && (
        <p role="alert" className="making-wrong">
          {run.failure}
        </p>
      )}
      <div className="making-adds">
        {run.state === "running" ? (
          <Button size="md" variant="default" onClick={onStop}>
            Stop
          </Button>
        ) : (
          <Button
            size="md"
            variant="default"
            disabled={run.names.length === bad}
            onClick={() => void saveFile("namesArchive", { id: run.id })}
          >
            Save the machine files
          </Button>
        )}
      </div>
      <ul className="names-list">
        {[...run.names]
          .sort((a, b) => Number(a.versionId !== null) - Number(b.versionId !== null))
          .slice(0, 300)
          .map((name, at) => (
            <li key={at} className="sheet">
              {name.versionId && name.designId ? (
                <>
                  <img
                    className="names-picture"
                    loading="lazy"
                    alt=""
                    src={addressOf("designPicture", { id: name.versionId })}
                  />
                  <Link to="/designs/$id" params={{ id: name.designId }}>
                    {name.text}
                  </Link>
                  <span className="quiet">
                    {name.widthMm} mm wide · {name.heightMm} mm high · {number.format(name.stitches)} stitches
                  </span>
                  {findingsWords(name.findings) && (
                    <span className="finding-mark">{findingsWords(name.findings)}</span>
                  )}
                </>
              ) : (
                <>
                  <b>{name.text}</b>
                  <span className="making-wrong">{name.trouble}</span>
                </>
              )}
            </li>
          ))}
      </ul>
      {run.names.length > 300 && <p className="quiet">The first 300 are shown; all are in the files.</p>}
    </section>
  );
}
