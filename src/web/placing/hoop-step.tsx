import { SHEET_FIRST_ID } from "#core/placing";
import { Button } from "@mantine/core";
import { NumberField } from "../parts/form";
import { Waiting } from "../parts/states";
import { unique } from "./body";
import { HaloPath } from "./cloth-layer";
import { EdgeLines } from "./edges";
import { Plane } from "./plane";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";

/** With fewer the camera's slant and the lens are hardly told apart. */
const ENOUGH_MARKERS = 3;

/** The hoop in the photo: by its markers, or by lines over its inner edges. */
export function HoopStep({ place }: { readonly place: Place }) {
  const { opened, doing, trouble } = place;
  if (!opened) return <p>Take a photo first.</p>;
  if (doing) return <Waiting words={doing} />;
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="The hoop in the photo">
        {trouble && <TroubleNote trouble={trouble} />}
        {place.way === "markers" ? <ByMarkers place={place} /> : <ByLines place={place} />}
      </section>
      <aside className="place-aside" aria-label="Other ways">
        <p className="quiet">
          Opened and looked through in {(opened.tookMs / 1000).toFixed(1)} s; {opened.size.widthPx} ×{" "}
          {opened.size.heightPx} px
          {opened.focal35Mm !== null && `, ${opened.focal35Mm} mm lens`}.
        </p>
        <Button size="lg" variant="default" onClick={() => place.setStep("photo")}>
          Another photo
        </Button>
        {place.way === "markers" && (
          <Button size="lg" variant="default" onClick={place.layLines}>
            Lay lines over the inner edges
          </Button>
        )}
        <Button size="lg" variant="subtle" onClick={place.measureByTape}>
          By tape measure
        </Button>
      </aside>
    </div>
  );
}

function ByMarkers({ place }: { readonly place: Place }) {
  const { known, taughtHoopId, cloth } = place;
  const opened = place.opened!;
  const hoop = known.taughtHoops.find((one) => one.id === taughtHoopId);
  const markers = unique(opened.markers).filter(({ id }) => hoop?.markerIds.includes(id));
  const hidden = (hoop?.markerIds ?? []).filter((id) => !markers.some((one) => one.id === id));
  const isFew = markers.length < ENOUGH_MARKERS;
  const wrong = cloth?.view.wrongMarkers ?? [];
  const { widthPx, heightPx } = opened.size;
  return (
    <>
      <h2>
        {hoop?.label}: {markers.length} of {hoop?.markerIds.length} markers seen
      </h2>
      {hidden.length > 0 && (
        <p className="caution">
          Hidden: {hidden.map((id) => `marker ${id}`).join(", ")}.{" "}
          {cloth &&
            (isFew
              ? "With so few the place will hardly be known well enough: uncover them, no shadow or fold on them, and take the photo again."
              : "The others are enough; with all of them the answer is surer.")}
        </p>
      )}
      {wrong.map(({ id, offMm }) => (
        <p key={id} className="caution">
          Marker {id} stands {offMm.toFixed(1)} mm from where it was taught and was left out. Look whether it
          has moved, and teach the hoop again.
        </p>
      ))}
      <Plane
        picture={opened.preview}
        width={widthPx}
        height={heightPx}
        label={`The photo with ${markers.length} markers found`}
        handles={[]}
        step={1}
      >
        {markers.map(({ id, cornersPx }) => (
          <g key={id}>
            <HaloPath
              d={`M${cornersPx.map(({ xPx, yPx }) => `${xPx + 0.5} ${yPx + 0.5}`).join("L")}Z`}
              look={wrong.some((one) => one.id === id) ? "plane-line-late" : "plane-line-done"}
            />
            <text
              x={cornersPx.reduce((sum, one) => sum + one.xPx, 0) / 4}
              y={Math.min(...cornersPx.map((one) => one.yPx)) - widthPx / 40}
              className="plane-words"
              fontSize={widthPx / 34}
            >
              {id}
            </text>
          </g>
        ))}
      </Plane>
      <div className="place-acts">
        {(!cloth || isFew) && (
          <Button size="lg" onClick={() => place.setStep("photo")}>
            Take another photo
          </Button>
        )}
        {cloth && (
          <Button size="lg" variant={isFew ? "default" : "filled"} onClick={() => void place.goOn()}>
            Go on
          </Button>
        )}
      </div>
    </>
  );
}

function ByLines({ place }: { readonly place: Place }) {
  const { opened, edges, known } = place;
  if (!opened || !edges) return null;
  const own = new Set(known.taughtHoops.flatMap((one) => one.markerIds));
  const others = unique(opened.markers)
    .map(({ id }) => id)
    .filter((id) => id < SHEET_FIRST_ID && !own.has(id));
  return (
    <>
      <h2>Show where the hoop is</h2>
      {others.length > 0 ? (
        <p className="caution">
          {others.length === 1 ? "Marker" : "Markers"} {others.join(", ")} in the photo{" "}
          {others.length === 1 ? "is" : "are"} of another hoop. Is the piece hooped in the right one
          {known.hoop && `, ${known.hoop.name}`}?
        </p>
      ) : (
        known.taughtHoops.length > 0 && (
          <p className="caution">None of this hoop’s markers was found in the photo.</p>
        )
      )}
      <EdgeLines
        opened={opened}
        desk={place.desk}
        edges={edges}
        onEdges={place.setEdges}
        onAll={() => void place.goOn()}
      />
      <NumberField
        label="The cloth lies under these edges by"
        unit="mm"
        hint="0 where the edges touch the cloth, as in a screw hoop; the ring’s height on a magnetic one"
        value={place.clothBelowMm}
        onChange={(mm) => place.setBelow(Number.isFinite(mm) ? (mm ?? 0) : 0)}
        decimals={1}
        max={80}
      />
    </>
  );
}
