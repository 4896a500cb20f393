import type { PointMm } from "#core/placing";
import { Button } from "@mantine/core";
import { useMemo, useState } from "react";
import { Waiting } from "../parts/states";
import { DesignImage } from "../pieces/run-sheet";
import { LEAST_AGAIN } from "./body";
import { Arrow, DesignOutline, FieldLines, threadOn } from "./cloth-layer";
import { fromPicture, toPicture } from "./geometry";
import { type Known, missArrow, type Result } from "./marks";
import { type Handle, Plane } from "./plane";
import { sizeOf, trueScaleOf } from "./scale";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";

/** Said larger, beside the button to touch it again. */
const WRONG_TOUCH = "placing-touch-wrong";
/** Misses are drawn so many times as long as they are. */
const ARROW_TIMES = 8;

/** Places of the sewn part, one after another: shown in the design, touched on the cloth. */
export function AgainStep({ place }: { readonly place: Place }) {
  const { cloth, doing, trouble } = place;
  if (doing) return <Waiting words={doing} />;
  if (!cloth)
    return (
      <div className="place-main">
        {trouble && <TroubleNote trouble={trouble} />}
        <p>The hoop has to be found in the photo first.</p>
        <Button size="lg" onClick={() => place.setStep(place.opened ? "hoop" : "photo")}>
          Back to the photo
        </Button>
      </div>
    );
  return <Touching place={place} cloth={cloth} />;
}

/** Which touch of those sent a miss belongs to: "Touch 2" is the second that was touched. */
export function missesOf(result: Result | null, touches: Place["touches"]) {
  const touched = touches.flatMap((one, at) => (one.at === null ? [] : [at]));
  return (result?.residuals ?? []).flatMap(({ what, offMm, wrong }) => {
    const number = /^Touch (\d+)$/.exec(what)?.[1];
    const at = number === undefined ? undefined : touched[Number(number) - 1];
    return at === undefined ? [] : [{ at, offMm, wrong }];
  });
}

function Touching({ place, cloth }: { readonly place: Place; readonly cloth: NonNullable<Place["cloth"]> }) {
  const { touches, setTouches, known, field, machine, answer, drawn } = place;
  const [chosen, setChosen] = useState(0);
  const one = touches[chosen];
  const set = (at: PointMm | null) =>
    setTouches((all) => all.map((each, i) => (i === chosen ? { ...each, at } : each)));
  const done = touches.filter((each) => each.at !== null).length;
  const pose = answer.result?.pose ?? null;
  const clothAt = answer.result?.height ?? null;
  const onHoop = useMemo(
    () => trueScaleOf({ cloth, field }, pose && { pose, height: clothAt }),
    [cloth, field, pose, clothAt],
  );
  const laid = useMemo(
    () => (pose ? threadOn(onHoop, drawn, pose).map((each) => ({ ...each, opacity: 0.55 })) : []),
    [onHoop, drawn, pose],
  );
  const misses = missesOf(answer.result, touches);
  const wrong = misses.find((miss) => miss.wrong);
  const next = touches.findIndex((each, i) => i !== chosen && each.at === null);
  const handles: Handle[] = one?.at
    ? [
        {
          id: "0",
          ...toPicture(cloth, one.at),
          label: `Place ${chosen + 1} of the design`,
          sign: String(chosen + 1),
        },
      ]
    : [];
  const { width, height } = sizeOf(cloth);
  if (!one)
    return (
      <p>The design has no corner or end that could be found again; hoop the piece anew and place it.</p>
    );
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="Touch the sewn part">
        <h2 className="place-say" aria-live="polite">
          Touch place {chosen + 1} in the photo: {whyWords[known.design.findable[chosen]?.why ?? "corner"]}{" "}
          <span className="quiet">
            {done} touched; {LEAST_AGAIN} at least, 4 or 5 are better
          </span>
        </h2>
        <div className="place-twin">
          <DesignPlace design={known.design} at={one.design} number={chosen + 1} />
          <Plane
            laid={laid}
            picture={cloth.picture}
            width={width}
            height={height}
            label="The cloth in the hoop, from straight above, at true scale"
            handles={handles}
            step={cloth.pxPerMm / 5}
            onAdd={(x, y) => {
              if (one.at !== null) return null;
              set(fromPicture(cloth, x, y));
              return "0";
            }}
            onMove={(_, x, y) => set(fromPicture(cloth, x, y))}
          >
            <FieldLines scale={onHoop} field={field} footMm={machine?.steps.footMarginMm ?? 0} room={null} />
            {answer.result && (
              <DesignOutline scale={onHoop} design={known.design} pose={answer.result.pose} />
            )}
            {touches.map(
              ({ at }, i) =>
                at &&
                i !== chosen && (
                  <Touched key={i} number={i + 1} size={width / 26} {...toPicture(cloth, at)} />
                ),
            )}
            {answer.result &&
              misses.map((miss) => {
                const { at, design } = touches[miss.at]!;
                const { x, y } = toPicture(cloth, at!);
                const touched = fromPicture(onHoop, x, y);
                const [from, to] = missArrow(touched, design, answer.result!.pose, ARROW_TIMES);
                return (
                  <Arrow
                    key={miss.at}
                    scale={onHoop}
                    from={from}
                    to={to}
                    look={miss.wrong ? "plane-line-late" : "plane-line-done"}
                  />
                );
              })}
          </Plane>
        </div>
        {wrong && (
          <WrongTouch
            wrong={wrong}
            words="Touch"
            onAgain={() => {
              setTouches((all) => all.map((each, i) => (i === wrong.at ? { ...each, at: null } : each)));
              setChosen(wrong.at);
            }}
          />
        )}
        {(answer.result?.findings ?? [])
          .filter((finding) => finding.code !== WRONG_TOUCH)
          .map((finding) => (
            <p key={finding.code + finding.message} className="caution">
              {finding.message} {finding.advice}
            </p>
          ))}
        {answer.trouble && <TroubleNote trouble={answer.trouble.problem} onAgain={answer.askAgain} />}
        <div className="place-acts">
          {done >= LEAST_AGAIN && !wrong && (
            <Button
              size="lg"
              variant={done > LEAST_AGAIN ? "filled" : "default"}
              onClick={() => place.setStep("answer")}
            >
              Show where it goes
            </Button>
          )}
          {one.at && next >= 0 && (
            <Button
              size="lg"
              variant={done > LEAST_AGAIN ? "default" : "filled"}
              onClick={() => setChosen(next)}
            >
              Next place
            </Button>
          )}
          {!one.at && next >= 0 && (
            <Button size="lg" variant="default" onClick={() => setChosen(next)}>
              I cannot see this one
            </Button>
          )}
          {one.at && (
            <Button size="lg" variant="default" onClick={() => set(null)}>
              Touch it again
            </Button>
          )}
          {!one.at && (
            <Button size="lg" variant="subtle" onClick={() => set({ xMm: 0, yMm: 0 })}>
              Lay it in the middle
            </Button>
          )}
        </div>
      </section>
      <aside className="place-aside" aria-label="Places of the design">
        <MissList touches={touches} misses={misses} chosen={chosen} onChoose={setChosen} />
        <p className="quiet">Arrows are drawn {ARROW_TIMES} times as long as the misses are.</p>
      </aside>
    </div>
  );
}

type Miss = ReturnType<typeof missesOf>[number];

/** Each place with how far it is off, to be chosen. */
export function MissList({
  touches,
  misses,
  chosen,
  onChoose,
}: {
  readonly touches: Place["touches"];
  readonly misses: readonly Miss[];
  readonly chosen: number;
  readonly onChoose: (at: number) => void;
}) {
  return (
    <ol className="place-misses">
      {touches.map((each, i) => {
        const miss = misses.find((other) => other.at === i);
        return (
          <li key={i}>
            <button
              type="button"
              className="place-chip"
              aria-pressed={i === chosen}
              onClick={() => onChoose(i)}
            >
              {each.at ? "✓ " : ""}place {i + 1}
            </button>
            <span className={miss?.wrong ? "words-late" : "quiet"}>
              {miss ? `${miss.offMm.toFixed(1)} mm off${miss.wrong ? ": wrong" : ""}` : ""}
            </span>
          </li>
        );
      })}
    </ol>
  );
}

/** The place that contradicts the others, and the way back to it. */
export function WrongTouch({
  wrong,
  words,
  onAgain,
}: {
  readonly wrong: Miss;
  readonly words: "Touch" | "Measure";
  readonly onAgain: () => void;
}) {
  return (
    <div className="place-trouble" role="alert">
      <b>
        Place {wrong.at + 1} contradicts the others by {wrong.offMm.toFixed(1)} mm.
      </b>
      <Button size="lg" onClick={onAgain}>
        {words} place {wrong.at + 1} again
      </Button>
    </div>
  );
}

const whyWords = { corner: "a sharp corner", end: "an end of the thread’s way" } as const;

/** A place that was touched, with its number. */
export function Touched({
  number,
  x,
  y,
  size,
}: {
  readonly number: number;
  readonly x: number;
  readonly y: number;
  readonly size: number;
}) {
  return (
    <g>
      <circle cx={x} cy={y} r={size / 4} className="plane-halo" />
      <circle cx={x} cy={y} r={size / 4} className="plane-line plane-line-done" />
      <text x={x} y={y - size / 1.6} className="plane-words" fontSize={size}>
        {number}
      </text>
    </g>
  );
}

/** The small picture of a design has so much round it, mm. */
const PICTURE_ROUND_MM = 1;

/** The design with one of its places ringed. */
export function DesignPlace({
  design,
  at,
  number,
}: {
  readonly design: Known["design"];
  readonly at: PointMm;
  readonly number: number;
}) {
  const [left, top] = [design.extentsMm.left - PICTURE_ROUND_MM, design.extentsMm.top + PICTURE_ROUND_MM];
  const width = design.extentsMm.right + PICTURE_ROUND_MM - left;
  const height = top - design.extentsMm.bottom + PICTURE_ROUND_MM;
  const place = { left: `${(100 * (at.xMm - left)) / width}%`, top: `${(100 * (top - at.yMm)) / height}%` };
  return (
    <figure className="place-design">
      <div className="place-design-box" style={{ aspectRatio: `${width} / ${height}` }}>
        <DesignImage
          versionId={design.versionId}
          threadIds={design.parts.map((part) => part.threadId)}
          name={design.name}
        />
        <span className="place-ring" style={place} aria-hidden />
      </div>
      <figcaption className="quiet">Place {number} in the design</figcaption>
    </figure>
  );
}
