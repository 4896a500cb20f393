import { Button } from "@mantine/core";
import { Touched } from "./again-step";
import { fromPicture, toPicture } from "./geometry";
import type { ClothPicture } from "./photo-messages";
import { type Handle, Plane } from "./plane";
import { sizeOf } from "./scale";
import type { SecondPhoto } from "./second-photo";
import type { Place } from "./use-place";

/** The two photos of a hoop, laid flat, with the places that are touched in both. */

/** Each place with its number where it was touched in the first photo. */
export function FirstPicture({
  cloth,
  places,
}: {
  readonly cloth: ClothPicture;
  readonly places: SecondPhoto["places"];
}) {
  const { width, height } = sizeOf(cloth);
  return (
    <Plane
      picture={cloth.picture}
      width={width}
      height={height}
      label="The first photo with the places touched in it"
      handles={[]}
      step={1}
    >
      {places.map(({ first }, i) => (
        <Touched key={i} number={i + 1} size={width / 20} {...toPicture(cloth, first)} />
      ))}
    </Plane>
  );
}

/** The ring a place is looked for in, as a share of the picture's width: far more than a height makes out. */
const RING_SHARE = 1 / 28;

/** The second photo, in which the chosen place is touched. */
export function SecondPlane({
  place,
  photo,
  chosen,
}: {
  readonly place: Place;
  readonly photo: SecondPhoto;
  readonly chosen: number;
}) {
  const { second } = place;
  const { cloth, places } = photo;
  const { width, height } = sizeOf(cloth);
  const one = places[chosen];
  const handles: Handle[] = one?.second
    ? [{ id: "0", ...toPicture(cloth, one.second), label: `Place ${chosen + 1}`, sign: String(chosen + 1) }]
    : [];
  const ring = one && !one.second ? toPicture(cloth, one.first) : null;
  return (
    <Plane
      picture={cloth.picture}
      width={width}
      height={height}
      label="The second photo’s cloth, from straight above, at true scale"
      handles={handles}
      step={cloth.pxPerMm / 5}
      onAdd={(x, y) => {
        if (!one || one.second) return null;
        second.touch(chosen, fromPicture(cloth, x, y));
        return "0";
      }}
      onMove={(_, x, y) => second.touch(chosen, fromPicture(cloth, x, y))}
    >
      {ring && (
        <>
          <circle cx={ring.x} cy={ring.y} r={RING_SHARE * width} className="plane-halo" />
          <circle cx={ring.x} cy={ring.y} r={RING_SHARE * width} className="plane-line plane-line-look" />
        </>
      )}
      {places.map(
        (each, i) =>
          each.second &&
          i !== chosen && (
            <Touched key={i} number={i + 1} size={width / 26} {...toPicture(cloth, each.second)} />
          ),
      )}
    </Plane>
  );
}

/** A place of the cloth that was not touched before: first where the first photo shows it. */
export function Picking({
  cloth,
  place,
  at,
  onDone,
  onLeave,
}: {
  readonly cloth: ClothPicture;
  readonly place: Place;
  readonly at: number;
  readonly onDone: () => void;
  readonly onLeave: () => void;
}) {
  const { second } = place;
  const places = second.photo?.places ?? [];
  const own = places[at];
  const { width, height } = sizeOf(cloth);
  return (
    <section className="place-main" aria-label="Another place of the cloth">
      <h2 className="place-say">
        Touch a place in the first photo that is plain to see in the second too: a crossing, a corner, a knot
      </h2>
      <Plane
        picture={cloth.picture}
        width={width}
        height={height}
        label="The first photo’s cloth, from straight above, at true scale"
        handles={
          own
            ? [{ id: "0", ...toPicture(cloth, own.first), label: `Place ${at + 1}`, sign: String(at + 1) }]
            : []
        }
        step={cloth.pxPerMm / 5}
        onAdd={(x, y) => {
          if (own) return null;
          second.addPlace(fromPicture(cloth, x, y));
          return "0";
        }}
        onMove={(_, x, y) => second.movePlace(at, fromPicture(cloth, x, y))}
      >
        {places.map(
          ({ first }, i) =>
            i !== at && <Touched key={i} number={i + 1} size={width / 26} {...toPicture(cloth, first)} />,
        )}
      </Plane>
      <div className="place-acts">
        {own ? (
          <Button size="lg" onClick={onDone}>
            Now touch it in the second photo
          </Button>
        ) : (
          <Button size="lg" variant="subtle" onClick={() => second.addPlace({ xMm: 0, yMm: 0 })}>
            Lay it in the middle
          </Button>
        )}
        <Button size="lg" variant="default" onClick={onLeave}>
          Leave it
        </Button>
      </div>
    </section>
  );
}
