import type { PointMm } from "#core/placing";
import { Button } from "@mantine/core";
import { useMemo, useState } from "react";
import { useAnswer } from "../asking";
import { NumberField } from "../parts/form";
import { ThreadChip } from "../parts/thread-chip";
import { readDay } from "../today/day";
import { fromPicture } from "./geometry";
import type { Known, Result } from "./marks";
import { needlesLeft } from "./needles-left";
import { Plane } from "./plane";
import { scaleOf, sizeOf, trueScaleOf } from "./scale";
import { DesignOutline, threadOn } from "./cloth-layer";
import type { Place } from "./use-place";

/** Where sewing goes on: the last good stitch by touch or number, and what is left from there. */
export function RestartChoice({ place, result }: { readonly place: Place; readonly result: Result }) {
  const { known, restart, setRestart } = place;
  const [isTouching, setTouching] = useState(false);
  const { remains } = result;
  const begun = known.begun?.stitches ?? 0;
  return (
    <section className="place-restart" aria-label="Where sewing goes on">
      <h2>Where does it go on?</h2>
      <div className="place-acts">
        <Button
          size="lg"
          variant={isTouching ? "filled" : "default"}
          onClick={() => setTouching(!isTouching)}
        >
          Touch the last good stitch
        </Button>
        {begun > 0 && (
          <Button size="lg" variant="default" onClick={() => setRestart({ stitch: begun })}>
            Stitch {begun.toLocaleString("en-GB")}, as the station told
          </Button>
        )}
        {restart !== null && (
          <Button size="lg" variant="subtle" onClick={() => setRestart(null)}>
            Sew the whole design
          </Button>
        )}
      </div>
      {isTouching && (
        <StitchTouch
          place={place}
          result={result}
          onTouched={(at) => {
            setRestart(place.way === "tape" ? { design: inDesign(result.pose, at) } : { at });
            setTouching(false);
          }}
        />
      )}
      <NumberField
        label="Last good stitch, its number"
        usual="none: the whole is sewn"
        max={known.design.stitches}
        value={remains?.lastGoodStitch ?? null}
        onChange={(stitch) =>
          setRestart(
            stitch === null || !(1 <= stitch) ? null : { stitch: Math.min(stitch, known.design.stitches) },
          )
        }
      />
      {remains && remains.orMeant.length > 1 && (
        <p>
          Several parts pass there.{" "}
          {remains.orMeant.map((one) => (
            <button
              key={one.stitch}
              type="button"
              className="place-chip"
              aria-pressed={one.stitch === remains.lastGoodStitch}
              onClick={() => setRestart({ stitch: one.stitch })}
            >
              part {one.part + 1}, stitch {one.stitch.toLocaleString("en-GB")}
            </button>
          ))}
        </p>
      )}
      {remains ? (
        <Remains known={known} remains={remains} machineId={place.machineId} />
      ) : (
        <p className="quiet">The whole design is sewn.</p>
      )}
    </section>
  );
}

/** A place of the hoop's plane as the design counts, mm from its start. */
function inDesign({ xMm, yMm, deg }: Result["pose"], at: PointMm): PointMm {
  const [cos, sin] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180)];
  const [x, y] = [at.xMm - xMm, at.yMm - yMm];
  return { xMm: cos * x + sin * y, yMm: cos * y - sin * x };
}

function StitchTouch({
  place,
  result,
  onTouched,
}: {
  readonly place: Place;
  readonly result: Result;
  readonly onTouched: (at: { readonly xMm: number; readonly yMm: number }) => void;
}) {
  const { cloth, field, drawn } = place;
  const scale = scaleOf(place);
  const onHoop = useMemo(() => trueScaleOf({ cloth, field }, result), [cloth, field, result]);
  const laid = useMemo(
    () => threadOn(onHoop, drawn, result.pose).map((one) => ({ ...one, opacity: 0.6 })),
    [onHoop, drawn, result.pose],
  );
  const [at, setAt] = useState<{ readonly x: number; readonly y: number } | null>(null);
  const { width, height } = sizeOf(scale);
  return (
    <>
      <Plane
        laid={laid}
        picture={place.cloth?.picture ?? null}
        width={width}
        height={height}
        label="Touch the last good stitch"
        handles={at ? [{ id: "stitch", ...at, label: "The last good stitch" }] : []}
        step={scale.pxPerMm / 5}
        onAdd={(x, y) => {
          if (at) return null;
          setAt({ x, y });
          return "stitch";
        }}
        onMove={(_, x, y) => setAt({ x, y })}
      >
        <DesignOutline scale={onHoop} design={place.known.design} pose={result.pose} />
      </Plane>
      <div className="place-acts">
        {at ? (
          <Button size="lg" onClick={() => onTouched(fromPicture(scale, at.x, at.y))}>
            This is the last good stitch
          </Button>
        ) : (
          <Button size="lg" variant="subtle" onClick={() => setAt({ x: width / 2, y: height / 2 })}>
            Lay it in the middle
          </Button>
        )}
      </div>
    </>
  );
}

/** What will be sewn, and the threads it needs in their order. */
function Remains({
  known,
  remains,
  machineId,
}: {
  readonly known: Known;
  readonly remains: NonNullable<Result["remains"]>;
  /** Its needle numbers are given, whichever machine the plan has the run on. */
  readonly machineId: string;
}) {
  const threads = useAnswer("threads", "threads.list", { query: { limit: 500 } });
  const faces = new Map((threads.data?.items ?? []).map((thread) => [thread.id, thread]));
  const face = (id: string | null) => (id === null ? null : (faces.get(id) ?? null));
  const plan = useAnswer("plan", "currentPlan", {});
  const view = plan.data?.plan ?? null;
  const left = view
    ? needlesLeft(readDay(view), {
        jobId: known.job.id,
        machineId,
        partsOfDesign: known.design.parts.length,
        parts: remains.parts,
      })
    : [];
  const needleOf = new Map(left.map(({ part, needle }) => [part, needle]));
  return (
    <>
      <p>
        Goes on from stitch <b>{remains.fromStitch.toLocaleString("en-GB")}</b> with a tie-in;{" "}
        <b>{remains.stitches.toLocaleString("en-GB")}</b> of {known.design.stitches.toLocaleString("en-GB")}{" "}
        stitches are left, in {remains.parts.length === 1 ? "one part" : `${remains.parts.length} parts`}.
      </p>
      <ol className="place-remains">
        {remains.parts.map(({ part, threadId, stitches }) => (
          <li key={part}>
            part {part + 1}: <ThreadChip thread={face(threadId)} />{" "}
            {needleOf.has(part) && <b>{needleWords(needleOf.get(part)!)}</b>}{" "}
            <span className="quiet">{stitches.toLocaleString("en-GB")} stitches</span>
          </li>
        ))}
      </ol>
    </>
  );
}

const needleWords = (needle: number | null): string =>
  needle === null ? "to be threaded first" : `needle ${needle}`;
