import { Button, Checkbox } from "@mantine/core";
import { type ReactNode, useEffect, useRef } from "react";
import type { shapes } from "#contract";
import { useAll } from "../../parts/all-of";
import { ChoiceField, choicesOf, NumberField, Row } from "../../parts/form";
import { LengthField } from "../../parts/quantity";
import type { SetItem } from "./lettering-fields";
import { type Artwork, type ArtworkPart, byNearness, freshPart, moved } from "./making";
import { ShapeFields } from "./shape-fields";
import type { ShapeOnFrame } from "./shapes";
import type { Chosen, PlaceSet } from "./sheet";
import { ThreadSelect } from "./thread-select";

type MadeItem = shapes.MadePreview["items"][number];
type MadePart = MadeItem["parts"][number];

/** Gives each new part of artwork the thread nearest to its colour, without a step of its own. */
export function useProposedThreads(
  item: Artwork | undefined,
  made: MadeItem | undefined,
  fill: (key: string, parts: ArtworkPart[]) => void,
) {
  const threads = useAll("threads", "no");
  useEffect(() => {
    if (!item || !made || !threads.data) return;
    const fresh = made.parts.filter(({ part }) => !item.parts.some((one) => one.part === part));
    if (fresh.length === 0) return;
    const proposed = (part: MadePart) => byNearness(threads.data, part.colour)[0]?.thread.id ?? null;
    const byName = new Map([...item.parts, ...fresh.map((part) => freshPart(part.part, proposed(part)))].map((part) => [part.part, part])); // prettier-ignore
    fill(item.key, [
      ...made.parts.flatMap(({ part }) => byName.get(part) ?? []),
      ...item.parts.filter((part) => !made.parts.some((one) => one.part === part.part)),
    ]);
  }, [item, made, threads.data, fill]);
}

/** Size, colours and parts of a drawing or picture. */
export function ArtworkFields({
  item,
  made,
  chosen,
  shape,
  onSet,
  onChoose,
  onPlaceShape,
}: {
  readonly item: Artwork;
  readonly made: MadeItem | undefined;
  readonly chosen: Chosen;
  readonly shape: ShapeOnFrame | null;
  readonly onSet: SetItem<Artwork>;
  readonly onChoose: (chosen: { readonly part: string | null; readonly shape?: string | null }) => void;
  readonly onPlaceShape: (set: PlaceSet, tag: string) => void;
}) {
  const parts = made?.parts ?? [];
  const setPart = (part: string, set: Partial<ArtworkPart>, tag: string) =>
    onSet({ parts: item.parts.map((one) => (one.part === part ? { ...one, ...set } : one)) }, `${tag} ${part}`);
  const mayMove = (at: number, by: -1 | 1): boolean => {
    const [one, other] = [parts[at], parts[at + by]];
    return one !== undefined && other !== undefined && !(by === -1 ? one.beneath.includes(other.part) : other.beneath.includes(one.part));
  };
  const move = (at: number, by: -1 | 1) => {
    const order = moved(parts.map(({ part }) => part), at, by);
    const byName = new Map(item.parts.map((part) => [part.part, part]));
    onSet({ parts: order.map((part) => byName.get(part) ?? freshPart(part, null)) }, "");
  };
  return (
    <div className="making-fields">
      <Row>
        <LengthField
          label="Width of the artwork"
          hint={typeof made?.heightMm === "number" ? `${made.heightMm} mm high` : undefined}
          value={item.widthMm}
          onChange={(widthMm) => onSet({ widthMm: widthMm ?? Number.NaN }, `width ${item.key}`)}
        />
        <NumberField
          label="Colours at most"
          value={item.mostColours}
          onChange={(mostColours) => onSet({ mostColours: mostColours ?? Number.NaN }, `colours ${item.key}`)}
        />
      </Row>
      <ChoiceField
        label="The ground behind it"
        value={item.ground}
        choices={choicesOf({ "leave out": "is the cloth, not sewn", keep: "is sewn too" })}
        onChange={(ground) => onSet({ ground }, "ground")}
      />
      <h3 className="making-h3">
        {parts.length} {parts.length === 1 ? "part" : "parts"} in sewing order
      </h3>
      <ol className="making-parts">
        {parts.map((part, at) => (
          <PartRow
            key={part.part}
            part={part}
            number={at + 1}
            own={item.parts.find((one) => one.part === part.part) ?? freshPart(part.part, null)}
            chosen={chosen.part === part.part}
            onChosen={() => onChoose({ part: chosen.part === part.part ? null : part.part })}
            onSet={(set, tag) => setPart(part.part, set, tag)}
            onUp={mayMove(at, -1) ? () => move(at, -1) : undefined}
            onDown={mayMove(at, 1) ? () => move(at, 1) : undefined}
          >
            <ShapeFields
              item={item}
              part={part}
              chosen={chosen.shape}
              shape={shape}
              onSet={onSet}
              onChoose={(key) => onChoose({ part: part.part, shape: key })}
              onPlace={onPlaceShape}
            />
          </PartRow>
        ))}
      </ol>
    </div>
  );
} // prettier-ignore

interface PartProps {
  readonly part: MadePart;
  readonly own: ArtworkPart;
  readonly number: number;
  readonly chosen: boolean;
  readonly onChosen: () => void;
  readonly onSet: (set: Partial<ArtworkPart>, tag: string) => void;
  readonly onUp: (() => void) | undefined;
  readonly onDown: (() => void) | undefined;
  readonly children: ReactNode;
}

function PartRow({ part, own, number, chosen, onChosen, onSet, onUp, onDown, children }: PartProps) {
  const row = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (chosen) row.current?.scrollIntoView({ block: "nearest" });
  }, [chosen]);
  const words = [
    part.fills > 0 && `${part.fills} filled`,
    part.satins > 0 && `${part.satins} satin`,
    part.runs > 0 && `${part.runs} run`,
  ].filter(Boolean); // prettier-ignore
  const name = `Part ${number}`;
  return (
    <li ref={row} className={`making-part${own.leaveOut ? " is-quiet" : ""}`} data-chosen={chosen || undefined}>
      <div className="making-part-head">
        <span className="making-swatch" style={{ background: part.colour }} aria-hidden />
        <button type="button" className="making-part-name" aria-expanded={chosen} onClick={onChosen}>
          <b>{name}</b> <span className="quiet">{part.colour.toUpperCase()} · {words.join(", ")}{own.leaveOut ? " · left out" : ""}</span>
        </button>
        <Button size="md" variant="default" px={10} disabled={!onUp} onClick={onUp} aria-label={`${name}: sew earlier`}>↑</Button>
        <Button size="md" variant="default" px={10} disabled={!onDown} onClick={onDown} aria-label={`${name}: sew later`}>↓</Button>
      </div>
      <ThreadSelect label={`Thread of part ${number}`} near={part.colour} value={own.threadId} onChange={(threadId) => onSet({ threadId }, "thread")} />
      {chosen && (
        <>
          {part.fills > 0 && (
            <>
              <Row>
                <ChoiceField
                  label="Lines of the fill"
                  value={own.lines ?? part.lines ?? "rows"}
                  choices={choicesOf({ rows: "rows", "along the edge": "along the edge" })}
                  onChange={(lines) => onSet({ lines }, "lines")}
                />
                <NumberField label="Angle of the rows" unit="°" min={-360} usual={`${part.angleDeg ?? 0}`} value={own.angleDeg} onChange={(angleDeg) => onSet({ angleDeg }, "angle")} />
              </Row>
              <Row>
                <NumberField label="Rows apart" unit="mm" decimals={2} step={0.02} usual="0.38" value={own.spacingMm} onChange={(spacingMm) => onSet({ spacingMm }, "spacing")} />
                <ChoiceField
                  label="Underlay"
                  value={own.underlay ?? "usual"}
                  choices={choicesOf({ usual: "as the cloth asks", double: "two layers", full: "edge and across", edge: "edge only", none: "none" })}
                  onChange={(underlay) => onSet({ underlay: underlay === "usual" ? null : underlay }, "underlay")}
                />
              </Row>
            </>
          )}
          {part.fills === 0 && <p className="quiet making-note">Satin and runs follow their own shape.</p>}
          {children}
          <Checkbox size="md" label="Leave this part out" checked={own.leaveOut} onChange={(event) => onSet({ leaveOut: event.currentTarget.checked }, "out")} />
          {part.beneath.length > 0 && <p className="quiet making-note">Lies on {part.beneath.map((one) => one.toUpperCase()).join(", ")}, which must come first.</p>}
        </>
      )}
    </li>
  );
} // prettier-ignore
