import { Button } from "@mantine/core";
import { useState } from "react";
import { Waiting } from "../parts/states";
import type { ClothTop } from "./body";
import { FieldLines, HaloPath } from "./cloth-layer";
import { fromPicture, fromPixel, pathOf, toPicture, toPixel } from "./geometry";
import {
  isComplete,
  isLine,
  isTouched,
  kindWords,
  leastPoints,
  type Mark,
  mostPoints,
  nextMark,
} from "./marks";
import { type Handle, Plane } from "./plane";
import { TapeStep } from "./tape-step";
import { sizeOf } from "./scale";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";

/** What the placement is measured from, touched on the cloth at true scale. */

/** A line is moved onto an edge or seam within so many mm of the fingers. */
const REACH_MM = 2.5;
/** About a touched place, so far each way, the direction of stripe or weave is looked for. */
const TEXTURE_MM = 12;

/** A finger with the loupe, standard deviation, mm: as the program reckons with it. */
const TOUCH_MM = 0.5;
const BY_HAND = { touched: null, found: null } as const;

export function TouchStep({ place }: { readonly place: Place }) {
  if (place.way === "tape") return <TapeStep place={place} />;
  if (place.doing) return <Waiting words={place.doing} />;
  if (!place.cloth)
    return (
      <div className="place-main">
        {place.trouble && <TroubleNote trouble={place.trouble} />}
        <p>The hoop has to be found in the photo first.</p>
        <Button size="lg" onClick={() => place.setStep(place.opened ? "hoop" : "photo")}>
          Back to the photo
        </Button>
      </div>
    );
  return <Touching place={place} cloth={place.cloth} />;
}

function Touching({ place, cloth }: { readonly place: Place; readonly cloth: NonNullable<Place["cloth"]> }) {
  const { marks, setMarks, field, machine, known } = place;
  const [skipped, setSkipped] = useState<ReadonlySet<number>>(new Set());
  const [chosen, setChosen] = useState(0);
  const [said, setSaid] = useState("");
  const mark = marks[chosen]!;
  const change = (next: Partial<Mark>) =>
    setMarks((all) => all.map((one, i) => (i === chosen ? { ...one, ...next } : one)));
  const snap = async (points: Mark["points"]) => {
    const [from, to] = points;
    if (!from || !to || !isLine(mark.kind) || points.length !== 2) return;
    const found = await place.desk.ask("snap", {
      where: "cloth",
      from: toPixel(cloth, from),
      to: toPixel(cloth, to),
      reachPx: Math.round(REACH_MM * cloth.pxPerMm),
    });
    if (!found) return setSaid("No plain line near; it stays as you touched it.");
    change({
      points: [found.from, found.to].map((at) => fromPixel(cloth, at)),
      touched: points,
      found: { placeMm: found.errorPx / cloth.pxPerMm, turnRad: found.angleErrorRad },
    });
    setSaid(
      `Moved onto the ${kindWords[mark.kind]}, ${Math.abs(found.movedPx / cloth.pxPerMm).toFixed(1)} mm.`,
    );
  };
  const stripe = async () => {
    const touched = mark.points[0] ?? marks.find(({ kind }) => kind === "place")?.points[0];
    // Measured from, a stripe has a place; only to be straight by, its direction is enough, anywhere.
    if (!touched && mark.asked.oneOf.length === 1) return setSaid("Touch the stripe at one place first.");
    const at = touched ?? { xMm: 0, yMm: 0 };
    const found = await place.desk.ask("direction", {
      at: toPixel(cloth, at),
      radiusPx: Math.round(TEXTURE_MM * cloth.pxPerMm),
    });
    if ("refused" in found) return setSaid(found.refused);
    const points = [found.from, found.to].map((one) => fromPixel(cloth, one));
    change({
      kind: "stripe",
      points,
      touched: null,
      found: { placeMm: TOUCH_MM, turnRad: found.errorRad },
    });
    setSaid("The stripe’s direction was found.");
  };
  const handles: Handle[] = mark.points.map((point, i) => ({
    id: String(i),
    ...toPicture(cloth, point),
    label: `${kindWords[mark.kind]}, place ${i + 1}`,
  }));
  const add = (x: number, y: number): string | null => {
    if (mark.points.length >= mostPoints(mark)) return null;
    change({ points: [...mark.points, fromPicture(cloth, x, y)], ...BY_HAND });
    setSaid("");
    return String(mark.points.length);
  };
  const { width, height } = sizeOf(cloth);
  const next = nextMark(marks, skipped);
  const isReady = isComplete(marks) && (next === null || marks[next]!.asked.optional);
  const go = (at: number) => {
    setChosen(at);
    setSaid("");
  };
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="Touch the cloth">
        <h2 className="place-say" aria-live="polite">
          {mark.asked.words}{" "}
          <span className="quiet">
            {Math.min(mark.points.length, leastPoints(mark))} of {leastPoints(mark)}
            {mark.asked.optional && " · may be left out"}
          </span>
        </h2>
        <Plane
          picture={cloth.picture}
          width={width}
          height={height}
          label="The cloth in the hoop, from straight above, at true scale"
          handles={handles}
          step={cloth.pxPerMm / 5}
          onAdd={add}
          onMove={(id, x, y) =>
            change({
              points: mark.points.map((one, i) => (String(i) === id ? fromPicture(cloth, x, y) : one)),
              ...BY_HAND,
            })
          }
          onDone={() => void snap(marks[chosen]!.points)}
        >
          <FieldLines scale={cloth} field={field} footMm={machine?.steps.footMarginMm ?? 0} room={null} />
          {marks.map((one, i) => (
            <HaloPath
              key={i}
              d={pathOf(cloth, one.points, one.kind === "area" ? "closed" : "open")}
              look={i === chosen ? "" : "plane-line-done"}
            />
          ))}
        </Plane>
        <p role="status" className="quiet place-said">
          {said}
        </p>
        <div className="place-acts">
          {isReady && (
            <Button size="lg" onClick={() => place.setStep("answer")}>
              Show where it goes
            </Button>
          )}
          {isTouched(mark) && next !== null && next !== chosen && (
            <Button size="lg" variant={isReady ? "default" : "filled"} onClick={() => go(next)}>
              Next: {kindWords[marks[next]!.kind]}
            </Button>
          )}
          {isLine(mark.kind) && mark.points.length === 2 && !mark.touched && (
            <Button size="lg" variant="default" onClick={() => void snap(mark.points)}>
              Find the line near it
            </Button>
          )}
          {mark.touched && (
            <Button size="lg" variant="default" onClick={() => change({ points: mark.touched!, ...BY_HAND })}>
              As I touched it
            </Button>
          )}
          {mark.points.length > 0 && (
            <Button size="lg" variant="default" onClick={() => change({ points: [], ...BY_HAND })}>
              Touch it again
            </Button>
          )}
          {mark.asked.oneOf.includes("stripe") && (
            <Button size="lg" variant="default" onClick={() => void stripe()}>
              Find the stripe by itself
            </Button>
          )}
          {mark.points.length < leastPoints(mark) && (
            <Button size="lg" variant="subtle" onClick={() => add(width / 2, height / 2)}>
              Lay it in the middle
            </Button>
          )}
          {mark.asked.optional && mark.points.length === 0 && (
            <Button
              size="lg"
              variant="subtle"
              onClick={() => {
                const left = new Set([...skipped, chosen]);
                setSkipped(left);
                const following = nextMark(marks, left);
                if (following !== null) go(following);
                else place.setStep("answer");
              }}
            >
              Leave it out
            </Button>
          )}
        </div>
      </section>
      <aside className="place-aside" aria-label="What is touched">
        <div className="place-sides" role="group" aria-label="What to touch">
          {marks.map((one, i) => (
            <button
              key={i}
              type="button"
              className="place-chip"
              aria-pressed={i === chosen}
              onClick={() => go(i)}
            >
              {isTouched(one) ? "✓ " : ""}
              {kindWords[one.kind]}
            </button>
          ))}
        </div>
        {mark.asked.oneOf.length > 1 && (
          <div className="place-sides" role="group" aria-label="Which kind of line">
            {mark.asked.oneOf.map((kind) => (
              <button
                key={kind}
                type="button"
                className="place-chip"
                aria-pressed={kind === mark.kind}
                onClick={() => change({ kind })}
              >
                {kindWords[kind]}
              </button>
            ))}
          </div>
        )}
        <ByChoice place={place} onChange={() => go(0)} />
        <ClothTopChoice place={place} />
        <p className="quiet">
          {known.where && `${known.where}. `}
          {cloth.view.markersUsed.length > 0 &&
            `${cloth.view.markersUsed.length} ${cloth.view.markersUsed.length === 1 ? "marker" : "markers"}, `}
          {cloth.view.tiltDeg.toFixed(0)}° slanted, {(cloth.view.distanceMm / 10).toFixed(0)} cm away.
        </p>
        <Button size="lg" variant="default" onClick={() => place.setStep("photo")}>
          Another photo
        </Button>
      </aside>
    </div>
  );
}

/** Seams and lines a rule is measured from often lie outside the hoop: a chalk cross marks the place then. */
export function ByChoice({ place, onChange }: { readonly place: Place; readonly onChange?: () => void }) {
  if (place.known.rule.rule.rule === "at place") return null;
  const isByPlace = place.by === "place";
  return (
    <div className="place-by">
      <p className="quiet">
        {isByPlace
          ? "By a touched place: measure it out on the cloth and mark it with a chalk cross."
          : "What it is measured from lies outside the hoop?"}
      </p>
      <Button
        size="md"
        variant="default"
        onClick={() => {
          place.setBy(isByPlace ? "rule" : "place");
          onChange?.();
        }}
      >
        {isByPlace ? "By the product’s rule again" : "Touch the place itself"}
      </Button>
    </div>
  );
}

const topWords: Readonly<Record<ClothTop, string>> = {
  away: "away from me",
  near: "towards me",
  left: "to the left",
  right: "to the right",
};

/** Which way the garment's upper end lies, seen at the machine. */
export function ClothTopChoice({ place }: { readonly place: Place }) {
  return (
    <fieldset className="place-top">
      <legend>The cloth’s upper end lies</legend>
      <div className="place-sides">
        {(Object.keys(topWords) as ClothTop[]).map((top) => (
          <button
            key={top}
            type="button"
            className="place-chip"
            aria-pressed={place.top === top}
            onClick={() => place.setTop(top)}
          >
            {topWords[top]}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
