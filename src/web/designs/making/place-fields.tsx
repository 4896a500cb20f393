import { Button } from "@mantine/core";
import type { shapes } from "#contract";
import { NumberField, Row } from "../../parts/form";
import { LengthField } from "../../parts/quantity";
import type { Item } from "./making";

type Box = shapes.MadePreview["extentsMm"];

/** Where a thing lies: by numbers, and its middle or an edge on the middle of the frame, where the mark on the garment goes. */
export function PlaceFields({
  item,
  box,
  onPlace,
}: {
  readonly item: Item;
  /** Where it came to lie; null while it is not made. */
  readonly box: Box | null;
  readonly onPlace: (set: { xMm?: number; yMm?: number; turnDeg?: number }, tag: string) => void;
}) {
  const tenth = (value: number) => Math.round(value * 10) / 10;
  const ways = box
    ? ([
        ["middle on the mark", { xMm: tenth(item.xMm - (box.left + box.right) / 2), yMm: tenth(item.yMm - (box.bottom + box.top) / 2) }],
        ["middle, sideways", { xMm: tenth(item.xMm - (box.left + box.right) / 2) }],
        ["middle, up and down", { yMm: tenth(item.yMm - (box.bottom + box.top) / 2) }],
        ["left edge on the mark", { xMm: tenth(item.xMm - box.left) }],
        ["right edge on the mark", { xMm: tenth(item.xMm - box.right) }],
        ["top edge on the mark", { yMm: tenth(item.yMm - box.top) }],
        ["bottom edge on the mark", { yMm: tenth(item.yMm - box.bottom) }],
      ] as const)
    : [];
  return (
    <fieldset className="making-place">
      <legend>Where it lies</legend>
      <Row>
        <LengthField label="To the right" min={-1000} value={item.xMm} onChange={(xMm) => onPlace({ xMm: xMm ?? Number.NaN }, `x ${item.key}`)} />
        <LengthField label="Up" min={-1000} value={item.yMm} onChange={(yMm) => onPlace({ yMm: yMm ?? Number.NaN }, `y ${item.key}`)} />
        <NumberField label="Turned" unit="°" min={-360} value={item.turnDeg} onChange={(turnDeg) => onPlace({ turnDeg: turnDeg ?? Number.NaN }, `turn ${item.key}`)} />
      </Row>
      <p className="quiet making-note">From the middle of the frame, where the mark on the garment goes.</p>
      <div className="making-ways">
        {ways.map(([words, set]) => (
          <Button key={words} size="md" variant="default" onClick={() => onPlace(set, "")}>
            {words}
          </Button>
        ))}
      </div>
    </fieldset>
  );
} // prettier-ignore
