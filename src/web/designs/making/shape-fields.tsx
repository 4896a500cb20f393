import { Button, Checkbox } from "@mantine/core";
import { useEffect, useRef } from "react";
import type { shapes } from "#contract";
import { NumberField, Row } from "../../parts/form";
import { LengthField, sizeWords, useHabits } from "../../parts/quantity";
import type { SetItem } from "./lettering-fields";
import type { Artwork } from "./making";
import { changeOf, shapeKey, type ShapeOnFrame, withShape } from "./shapes";
import type { PlaceSet } from "./sheet";

type MadePart = shapes.MadePreview["items"][number]["parts"][number];
const sewn = { fill: "filled", satin: "satin", run: "run" } as const;

/** The shapes of a part: each can be chosen, moved, turned, sized or left out by itself. */
export function ShapeFields({
  item,
  part,
  chosen,
  shape,
  onSet,
  onChoose,
  onPlace,
}: {
  readonly item: Artwork;
  readonly part: MadePart;
  readonly chosen: string | null;
  /** The chosen one, as it lies on the frame. */
  readonly shape: ShapeOnFrame | null;
  readonly onSet: SetItem<Artwork>;
  readonly onChoose: (key: string | null) => void;
  readonly onPlace: (set: PlaceSet, tag: string) => void;
}) {
  const { lengthUnit } = useHabits();
  const list = useRef<HTMLOListElement>(null);
  useEffect(() => {
    list.current?.querySelector("[aria-pressed=true]")?.scrollIntoView({ block: "nearest" });
  }, [chosen]);
  if (part.shapes.length === 0) return null;
  const own = chosen === null ? null : changeOf(item, part.part, chosen);
  const change = (set: Parameters<typeof withShape>[3], tag: string) => {
    if (chosen !== null) onSet({ parts: withShape(item, part.part, chosen, set) }, `${tag} ${chosen}`);
  };
  return (
    <div className="making-shapes">
      <p className="quiet making-note">
        {part.shapes.length === 1 ? "One shape: choose it here" : `${part.shapes.length} shapes: choose one here`}, or tap
        it on the picture, to move it by itself.
      </p>
      <ol ref={list} className="making-shape-list">
        {part.shapes.map((one, at) => {
          const key = shapeKey(one);
          const { left, right, bottom, top } = one.boxMm;
          const isChanged = item.parts.some((other) => other.part === part.part && other.shapes?.some((other) => shapeKey(other) === key));
          return (
            <li key={key}>
              <button type="button" className="making-thing" aria-pressed={key === chosen} onClick={() => onChoose(key === chosen ? null : key)}>
                <b>Shape {at + 1}</b>{" "}
                <span className="quiet">
                  {sewn[one.sew]} · {sizeWords(right - left, top - bottom, lengthUnit)}
                  {one.leftOut ? " · left out" : isChanged ? " · changed" : ""}
                </span>
              </button>
            </li>
          );
        })}
      </ol>
      {own && shape && (
        <fieldset className="making-place">
          <legend>The shape by itself</legend>
          <Row>
            <LengthField label="Shape to the right" min={-1000} value={shape.xMm} onChange={(xMm) => xMm !== null && !Number.isNaN(xMm) && onPlace({ xMm }, `move ${shape.key}`)} />
            <LengthField label="Shape up" min={-1000} value={shape.yMm} onChange={(yMm) => yMm !== null && !Number.isNaN(yMm) && onPlace({ yMm }, `move ${shape.key}`)} />
          </Row>
          <Row>
            <NumberField label="Shape turned" unit="°" min={-360} value={own.turnDeg} onChange={(turnDeg) => change({ turnDeg: turnDeg ?? Number.NaN }, "turn")} />
            <NumberField label="Shape’s size" unit="%" decimals={1} value={own.sizePercent} onChange={(sizePercent) => change({ sizePercent: sizePercent ?? Number.NaN }, "size")} />
          </Row>
          <Checkbox size="md" label="Leave this shape out" checked={own.leaveOut} onChange={(event) => change({ leaveOut: event.currentTarget.checked }, "")} />
          <div className="making-ways">
            <Button size="md" variant="default" onClick={() => change({ xMm: 0, yMm: 0, turnDeg: 0, sizePercent: 100, leaveOut: false }, "")}>
              As drawn
            </Button>
            <Button size="md" variant="default" onClick={() => onChoose(null)}>
              Choose the whole part
            </Button>
          </div>
        </fieldset>
      )}
    </div>
  );
} // prettier-ignore
