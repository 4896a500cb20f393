import { Button } from "@mantine/core";
import { useMemo } from "react";
import { Waiting } from "../parts/states";
import { NumberField } from "../parts/form";
import { NO_NUDGE, type Nudge } from "./body";
import { Cross, Plane } from "./plane";
import { DesignOutline, FieldLines, threadOn } from "./cloth-layer";
import { fromPicture, pathOf, toPicture } from "./geometry";
import { GiveWays } from "./give-ways";
import { errorWords, overWords, type Result, roomSides } from "./marks";
import { RestartChoice } from "./restart";
import { scaleOf, sizeOf, trueScaleOf } from "./scale";
import { SecondOffer } from "./second-offer";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";

/** Where the design goes, how sure that is, and what the machine is given. */
export function AnswerStep({ place }: { readonly place: Place }) {
  const { answer, keeping, body, again } = place;
  const { result } = answer;
  if (!result)
    return answer.trouble ? (
      <div className="place-main">
        <TroubleNote trouble={answer.trouble.problem} onAgain={answer.askAgain} />
        <Button size="lg" variant="default" onClick={() => place.setStep("touch")}>
          Back to what was touched
        </Button>
      </div>
    ) : body ? (
      <Waiting words="Reckoning where the design goes" />
    ) : (
      <div className="place-main">
        <p>Something is still to be touched.</p>
        <Button size="lg" onClick={() => place.setStep("touch")}>
          Back to the cloth
        </Button>
      </div>
    );
  const over = overWords(result.room);
  const way = result.ways.find((one) => one.give === place.give) ?? result.ways[0]!;
  const isFit = over.length === 0 && result.sure && way.sure;
  return (
    <div className="place-columns" aria-busy={answer.isAsking && !answer.result}>
      <section className="place-main" aria-label="Where the design goes">
        <Picture place={place} result={result} />
        <Room result={result} footMm={place.machine?.steps.footMarginMm ?? 0} />
      </section>
      <aside className="place-aside" aria-label="The answer">
        <HowSure result={result} way={way} over={over} />
        <SecondOffer place={place} result={result} />
        {result.findings.filter(isNotSaidAbove).map((finding) => (
          <p key={finding.code + finding.message} className="caution">
            {finding.message} {finding.advice}
          </p>
        ))}
        {again && <RestartChoice place={place} result={result} />}
        <GiveWays place={place} result={result} />
        {keeping.trouble && <TroubleNote trouble={keeping.trouble.problem} />}
        {answer.trouble && <TroubleNote trouble={answer.trouble.problem} onAgain={answer.askAgain} />}
        {place.known.cautions.map((words) => (
          <p key={words} className="caution">
            {words}
          </p>
        ))}
        {!again && <Nudging place={place} />}
        {place.way !== "tape" && <PhotoKept place={place} />}
        <div className="place-use">
          <Button
            size="xl"
            fullWidth
            loading={keeping.isKeeping}
            disabled={!isFit || answer.isAsking}
            onClick={place.use}
          >
            Use it
          </Button>
        </div>
        <Button size="lg" variant="default" fullWidth onClick={() => place.setStep("touch")}>
          Back to the cloth
        </Button>
      </aside>
    </div>
  );
}

/** That the design leaves the field stands with the error already, in the page's own words. */
const isNotSaidAbove = ({ code }: Result["findings"][number]): boolean => code !== "placing-outside-field";

/** The error to expect in large letters, or why this is not good enough and what would help. */
function HowSure({
  result,
  way,
  over,
}: {
  readonly result: Result;
  readonly way: Result["ways"][number];
  readonly over: readonly string[];
}) {
  const [mm, degrees] = errorWords(way.errorMm, way.errorDeg);
  const isSure = result.sure && way.sure;
  const advice = result.advice;
  return (
    <section
      className={`place-error ${isSure && over.length === 0 ? "" : "place-error-late"}`}
      aria-live="polite"
    >
      <p className="place-error-large">
        <span>{mm}</span> <span>{degrees}</span>
      </p>
      <p>
        {isSure
          ? `Sure enough: ${result.tolerance.mm} mm and ${result.tolerance.degrees}° are allowed.`
          : `Not sure enough: this product allows ${result.tolerance.mm} mm and ${result.tolerance.degrees}°.`}{" "}
        In 95 of 100 cases no point is further off.
      </p>
      {!isSure && (
        <ul>
          {(advice.length > 0 ? advice : [way.why]).map((words) => (
            <li key={words}>{words}</li>
          ))}
        </ul>
      )}
      {over.length > 0 && (
        <p>
          <b>The design leaves the field: {over.join(", ")}.</b> Hoop the piece nearer to the middle, or move
          the design below.
        </p>
      )}
    </section>
  );
}

function Room({ result, footMm }: { readonly result: Result; readonly footMm: number }) {
  return (
    <ul className="place-room" aria-label="Room left to the field’s edge">
      {roomSides(result.room).map(({ side, mm }) => (
        <li key={side} className={mm < 0 ? "words-late" : ""}>
          <span className="quiet">{side}</span>{" "}
          <b>{mm < 0 ? `${(-mm).toFixed(1)} mm over` : `${mm.toFixed(1)} mm`}</b>
        </li>
      ))}
      {footMm > 0 && <li className="quiet">the presser foot’s {footMm} mm already taken off</li>}
    </ul>
  );
}

function Picture({ place, result }: { readonly place: Place; readonly result: Result }) {
  const { cloth, known, field, machine, drawn, again, nudge, setNudge } = place;
  // The answer follows a moment after the finger; the design is shown where it is moved to at once.
  const answered = place.answer.nudge;
  const scale = useMemo(() => trueScaleOf({ cloth, field }, result), [cloth, field, result]);
  const { width, height } = sizeOf(scale);
  const pose = useMemo(
    () => ({
      xMm: result.pose.xMm + nudge.xMm - answered.xMm,
      yMm: result.pose.yMm + nudge.yMm - answered.yMm,
      deg: result.pose.deg + nudge.deg - answered.deg,
    }),
    [result.pose, nudge, answered],
  );
  const at = toPicture(scale, pose);
  const laser = place.give === "laser" ? result.ways.find((one) => one.give === "laser")?.laser : null;
  const laid = useMemo(() => threadOn(scale, drawn, pose), [scale, drawn, pose]);
  return (
    <Plane
      laid={laid}
      picture={cloth?.picture ?? null}
      width={width}
      height={height}
      label="The design where it will be sewn"
      handles={again ? [] : [{ id: "design", ...at, label: "The design’s start", sign: "✥" }]}
      step={scale.pxPerMm / 5}
      onMove={(_, x, y) => {
        const to = fromPicture(scale, x, y);
        setNudge({
          ...nudge,
          xMm: rounded(nudge.xMm + to.xMm - pose.xMm),
          yMm: rounded(nudge.yMm + to.yMm - pose.yMm),
        });
      }}
    >
      {place.marks.map((mark, i) => (
        <path
          key={i}
          d={pathOf(scaleOf({ cloth, field }), mark.points, mark.kind === "area" ? "closed" : "open")}
          className="plane-line plane-line-done"
        />
      ))}
      <DesignOutline scale={scale} design={known.design} pose={pose} />
      <FieldLines scale={scale} field={field} footMm={machine?.steps.footMarginMm ?? 0} room={result.room} />
      {laser && <Cross {...toPicture(scale, laser.start)} size={5 * scale.pxPerMm} />}
      {laser && <Cross {...toPicture(scale, laser.check)} size={5 * scale.pxPerMm} />}
    </Plane>
  );
}

const rounded = (value: number): number => Math.round(value * 10) / 10;

function Nudging({ place }: { readonly place: Place }) {
  const { nudge, setNudge } = place;
  const set = (key: keyof Nudge) => (value: number | null) =>
    setNudge({ ...nudge, [key]: value === null || Number.isNaN(value) ? 0 : value });
  const isMoved = nudge.xMm !== 0 || nudge.yMm !== 0 || nudge.deg !== 0;
  const by = (xMm: number, yMm: number) =>
    setNudge({ ...nudge, xMm: rounded(nudge.xMm + xMm), yMm: rounded(nudge.yMm + yMm) });
  return (
    <details className="place-nudge">
      <summary>Move it by hand{isMoved && ": moved"}</summary>
      <div className="place-pad" role="group" aria-label="Move by a millimetre">
        <button type="button" className="place-chip" onClick={() => by(-1, 0)}>
          1 mm left
        </button>
        <button type="button" className="place-chip" onClick={() => by(1, 0)}>
          1 mm right
        </button>
        <button type="button" className="place-chip" onClick={() => by(0, 1)}>
          1 mm away
        </button>
        <button type="button" className="place-chip" onClick={() => by(0, -1)}>
          1 mm near
        </button>
      </div>
      <div className="place-numbers">
        <NumberField
          label="To the right"
          unit="mm"
          decimals={1}
          min={-500}
          value={nudge.xMm}
          onChange={set("xMm")}
        />
        <NumberField
          label="Away from me"
          unit="mm"
          decimals={1}
          min={-500}
          value={nudge.yMm}
          onChange={set("yMm")}
        />
        <NumberField
          label="Turned to the left"
          unit="°"
          decimals={1}
          min={-180}
          value={nudge.deg}
          onChange={set("deg")}
        />
      </div>
      {isMoved && (
        <Button size="md" variant="default" onClick={() => setNudge(NO_NUDGE)}>
          Back to the rule
        </Button>
      )}
    </details>
  );
}

function PhotoKept({ place }: { readonly place: Place }) {
  if (place.known.photos === "left-out")
    return <p className="quiet">The photo is not kept: this studio leaves photos out.</p>;
  return (
    <label className="place-check">
      <input
        type="checkbox"
        checked={place.leavePhoto === "keep"}
        onChange={(event) => place.setLeavePhoto(event.currentTarget.checked ? "keep" : "leave out")}
      />
      <span>Keep a small photo with the piece; it never leaves the studio’s computer</span>
    </label>
  );
}
