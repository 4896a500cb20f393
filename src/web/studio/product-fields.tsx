import { Button, Select } from "@mantine/core";
import { useMemo } from "react";
import { addressOf } from "../client";
import { useAnswer } from "../asking";
import { useAll } from "../parts/all-of";
import { AddRow, ChoiceField, Fields, ManyChoice, PlainChoice, Row, TextField } from "../parts/form";
import {
  DurationField,
  durationWords,
  LengthField,
  MoneyField,
  sizeWords,
  useHabits,
} from "../parts/quantity";
import type { BodyOf, RecordForm } from "../parts/record-form";
import { ThreadField } from "../parts/thread-picker";
import { sizeChoices } from "../machines/words";
import "./products.css";

type Body = BodyOf<"products">;
type Placement = Body["placements"][number];
type Form = { readonly form: RecordForm<Body> };

const labels: Readonly<Record<string, string>> = {
  code: "Code",
  name: "Name",
  kind: "Kind",
  cloth: "Cloth",
  blankId: "Blank",
  placements: "Placements",
  sewS: "Cutting and sewing",
  priceCents: "Price",
  caution: "Caution",
  note: "Note",
};
const placementLabels: Readonly<Record<string, string>> = {
  name: "name",
  where: "where",
  hoopId: "hoop",
  backingId: "backing",
  toppingId: "topping",
  needleSizeNm: "needle size",
  needlePoint: "needle point",
  designId: "design",
  lettering: "lettering",
  machineIds: "machines",
  hoopS: "hooping",
  unhoopS: "un-hooping",
  finishS: "finishing",
};

/** "Placement 2: hoop" for placements.1.hoopId. */
export function productFieldLabel(path: string): string {
  const placement = /^placements\.(\d+)(?:\.(\w+))?/.exec(path);
  if (placement)
    return `Placement ${Number(placement[1]) + 1}${placement[2] ? `: ${placementLabels[placement[2]] ?? placement[2]}` : ""}`;
  return labels[path] ?? path;
}

/** An id for a placement, unique within the studio's life; the product keeps it. */
const newPlacementId = () => `pl${crypto.getRandomValues(new Uint32Array(2)).join("").slice(0, 16)}`;

const freshPlacement = (cloth: Body["cloth"]): Placement => ({
  id: newPlacementId(),
  name: "",
  where: "",
  hoopId: null,
  backingId: null,
  toppingId: null,
  needleSizeNm: 75,
  // Ball points for knits, sharp ones for wovens (TRADE.md, common practice, no source).
  needlePoint: cloth === "knit" ? "ball" : "sharp",
  designId: null,
  lettering: null,
  machineIds: null,
  hoopS: null,
  unhoopS: null,
  finishS: null,
});

export function ProductFields({ form }: Form) {
  const { value, set, error } = form;
  return (
    <>
      <Fields legend="What is sold">
        <PlainChoice
          legend="Kind"
          value={value.kind}
          onChange={(kind) => set({ kind: kind as Body["kind"] })}
          choices={[
            {
              value: "embroidered",
              words: "embroidered",
              meaning: "a blank that gets a design, a name or both",
            },
            { value: "sewn", words: "sewn", meaning: "made from cloth at a straight-stitch machine" },
          ]}
        />
        <Row>
          <TextField
            label="Code"
            hint="as orders name it"
            value={value.code}
            onChange={(code) => set({ code })}
            error={error("code")}
          />
          <TextField
            label="Name"
            hint="as customers know it"
            value={value.name}
            onChange={(name) => set({ name })}
            error={error("name")}
          />
        </Row>
        <Row>
          <ChoiceField
            label="Cloth"
            hint="underlay and backing follow from it"
            value={value.cloth}
            onChange={(cloth) => set({ cloth: cloth as Body["cloth"] })}
            choices={[
              { value: "woven", words: "woven: canvas, linen, cotton" },
              { value: "knit", words: "knit: sweatshirt, jersey" },
              { value: "pile", words: "pile: towel, fleece" },
            ]}
            error={error("cloth")}
          />
          <MoneyField
            label="Price"
            hint="of one piece"
            value={value.priceCents}
            onChange={(priceCents) => set({ priceCents: priceCents! })}
            error={error("priceCents")}
          />
        </Row>
        <Row>
          <StockSelect
            kind="blank"
            label="Blank"
            value={value.blankId}
            none="none"
            onChange={(blankId) => set({ blankId })}
            error={error("blankId")}
            hint="taken from stock with each piece"
          />
          <DurationField
            inMinutes
            label="Cutting and sewing"
            value={value.sewS}
            onChange={(sewS) => set({ sewS: sewS! })}
            error={error("sewS")}
            hint="of one piece; 0 where nothing is sewn"
          />
        </Row>
      </Fields>
      {(value.kind === "embroidered" || value.placements.length > 0) && <Placements form={form} />}
      <Fields legend="Caution and note">
        <TextField
          long
          label="Caution"
          hint="stands with the work and on its ticket: where it can hurt, or what is worn"
          value={value.caution}
          onChange={(caution) => set({ caution })}
          error={error("caution")}
        />
        <TextField
          long
          label="Note"
          value={value.note}
          onChange={(note) => set({ note })}
          error={error("note")}
        />
      </Fields>
    </>
  );
}

function Placements({ form }: Form) {
  const { placements, cloth } = form.value;
  const change = (index: number, patch: Partial<Placement>) =>
    form.set({ placements: placements.map((one, at) => (at === index ? { ...one, ...patch } : one)) });
  return (
    <Fields legend="Where it is embroidered" hint="Each placement is one run on a machine, in one hoop.">
      {placements.map((placement, index) => (
        <PlacementEditor
          key={placement.id}
          form={form}
          placement={placement}
          index={index}
          onChange={(patch) => change(index, patch)}
          onRemove={() => form.set({ placements: placements.filter((one) => one.id !== placement.id) })}
        />
      ))}
      {form.error("placements") && <p className="thread-field-error">{form.error("placements")}</p>}
      {placements.length < 12 && (
        <AddRow onClick={() => form.set({ placements: [...placements, freshPlacement(cloth)] })}>
          {placements.length === 0 ? "Add a placement" : "Add another placement"}
        </AddRow>
      )}
    </Fields>
  );
}

interface PlacementProps extends Form {
  readonly placement: Placement;
  readonly index: number;
  readonly onChange: (patch: Partial<Placement>) => void;
  readonly onRemove: () => void;
}

function PlacementEditor({ form, placement, index, onChange, onRemove }: PlacementProps) {
  const error = (field: string) => form.error(`placements.${index}.${field}`);
  const studio = useAnswer("studio", "readStudio", {});
  const hoops = useAll("hoops");
  const { lengthUnit } = useHabits();
  const hoop = hoops.data?.find((one) => one.id === placement.hoopId);
  const usual = studio.data?.stepTimes;
  const usually = (seconds: number | null | undefined) =>
    seconds === null || seconds === undefined ? "the studio’s" : `usual: ${durationWords(seconds)}`;
  const hoopUsual = hoop
    ? (hoop.hoopS ?? (hoop.kind === "magnetic" ? usual?.hoopMagneticS : usual?.hoopScrewS))
    : usual?.hoopMagneticS;
  return (
    <div
      className="placement"
      role="group"
      aria-label={`Placement ${index + 1}${placement.name ? `, ${placement.name}` : ""}`}
    >
      <Row>
        <TextField
          label="Placement"
          hint="such as left chest"
          value={placement.name}
          onChange={(name) => onChange({ name })}
          error={error("name")}
        />
        <Select
          size="md"
          label="Hoop"
          description="it must take the design"
          data={(hoops.data ?? [])
            .filter((one) => !one.archived || one.id === placement.hoopId)
            .map((one) => ({
              value: one.id,
              label: `${one.name} · ${sizeWords(one.fieldWidthMm, one.fieldHeightMm, lengthUnit)}`,
            }))}
          placeholder="no hoop"
          clearable
          clearButtonProps={{ "aria-label": "No hoop", size: "md" }}
          value={placement.hoopId}
          onChange={(hoopId) => onChange({ hoopId })}
          error={error("hoopId")}
          nothingFoundMessage="No hoop is described yet"
        />
      </Row>
      <TextField
        label="Where"
        hint="so that anyone finds the spot: 200 mm down from the shoulder seam, 110 mm off the centre"
        value={placement.where}
        onChange={(where) => onChange({ where })}
        error={error("where")}
      />
      <Row>
        <StockSelect
          kind="backing"
          label="Backing"
          value={placement.backingId}
          none="none"
          onChange={(backingId) => onChange({ backingId })}
          error={error("backingId")}
        />
        <StockSelect
          kind="topping"
          label="Topping film"
          value={placement.toppingId}
          none="none"
          onChange={(toppingId) => onChange({ toppingId })}
          error={error("toppingId")}
        />
      </Row>
      <Row>
        <ChoiceField
          label="Needle size"
          value={String(placement.needleSizeNm)}
          onChange={(size) => onChange({ needleSizeNm: Number(size) })}
          choices={sizeChoices(placement.needleSizeNm)}
          error={error("needleSizeNm")}
        />
        <ChoiceField
          label="Needle point"
          value={placement.needlePoint}
          onChange={(point) => onChange({ needlePoint: point as Placement["needlePoint"] })}
          choices={[
            { value: "sharp", words: "sharp, for wovens" },
            { value: "ball", words: "ball, for knits" },
          ]}
          error={error("needlePoint")}
        />
      </Row>
      <DesignSelect
        value={placement.designId}
        onChange={(designId) => onChange({ designId })}
        error={error("designId")}
      />
      <Lettering placement={placement} onChange={onChange} error={error} />
      <MachinesAllowed placement={placement} onChange={onChange} />
      <details className="placement-more">
        <summary>Times of its own</summary>
        <Row>
          <DurationField
            label="Hooping"
            usual={usually(hoopUsual)}
            value={placement.hoopS}
            onChange={(hoopS) => onChange({ hoopS })}
            error={error("hoopS")}
          />
          <DurationField
            label="Un-hooping"
            usual={usually(usual?.unhoopS)}
            value={placement.unhoopS}
            onChange={(unhoopS) => onChange({ unhoopS })}
            error={error("unhoopS")}
          />
          <DurationField
            label="Finishing"
            usual={usually(usual?.finishS)}
            value={placement.finishS}
            onChange={(finishS) => onChange({ finishS })}
            error={error("finishS")}
          />
        </Row>
      </details>
      <Button
        variant="subtle"
        size="md"
        className="add-row"
        onClick={onRemove}
        aria-label={`Take away placement ${index + 1}`}
      >
        Take this placement away
      </Button>
    </div>
  );
}

/** One item of the stock of a kind, searched by typing. */
function StockSelect({
  kind,
  label,
  value,
  none,
  onChange,
  error,
  hint,
}: {
  readonly kind: "blank" | "backing" | "topping";
  readonly label: string;
  readonly value: string | null;
  readonly none: string;
  readonly onChange: (id: string | null) => void;
  readonly error?: string | undefined;
  readonly hint?: string;
}) {
  const stock = useAll("stock");
  const data = useMemo(
    () =>
      (stock.data ?? [])
        .filter((item) => item.kind === kind && (!item.archived || item.id === value))
        .map((item) => ({
          value: item.id,
          label: [item.code, item.name, item.colour, item.size].filter(Boolean).join(" "),
        })),
    [stock.data, kind, value],
  );
  return (
    <Select
      size="md"
      label={label}
      description={hint}
      data={data}
      searchable
      clearable
      clearButtonProps={{ "aria-label": `No ${label.toLowerCase()}`, size: "md" }}
      placeholder={none}
      value={value}
      onChange={onChange}
      error={error}
      limit={50}
      nothingFoundMessage="Nothing in stock matches"
    />
  );
}

function DesignSelect({
  value,
  onChange,
  error,
}: {
  readonly value: string | null;
  readonly onChange: (id: string | null) => void;
  readonly error: string | undefined;
}) {
  const designs = useAnswer("designs", "listDesigns", { query: { limit: 500, sort: "name" } });
  const chosen = designs.data?.items.find((design) => design.id === value);
  return (
    <div className="design-select">
      <Select
        size="md"
        label="Design"
        description="what is sewn when the order names none; empty: the order names it, or lettering stands alone"
        data={(designs.data?.items ?? [])
          .filter((design) => !design.archived || design.id === value)
          .map((design) => ({ value: design.id, label: design.name }))}
        searchable
        clearable
        clearButtonProps={{ "aria-label": "No design", size: "md" }}
        placeholder="none"
        value={value}
        onChange={onChange}
        error={error}
        limit={50}
        nothingFoundMessage="No design matches"
      />
      {chosen && (
        <img
          src={addressOf("designPicture", { id: chosen.latest.id }, { size: "small" })}
          alt={`The design ${chosen.name}`}
          width={72}
          height={72}
          loading="lazy"
        />
      )}
    </div>
  );
}

function Lettering({
  placement,
  onChange,
  error,
}: {
  readonly placement: Placement;
  readonly onChange: (patch: Partial<Placement>) => void;
  readonly error: (field: string) => string | undefined;
}) {
  const { lettering } = placement;
  const set = (patch: Partial<NonNullable<Placement["lettering"]>>) =>
    lettering && onChange({ lettering: { ...lettering, ...patch } });
  if (!lettering)
    return (
      <AddRow
        onClick={() =>
          onChange({
            lettering: {
              heightMm: 15,
              maxWidthMm: 90,
              threadId: null,
              place: placement.designId ? "below" : "alone",
            },
          })
        }
      >
        The customer’s text is sewn here
      </AddRow>
    );
  return (
    <div className="placement-lettering">
      <b>The customer’s text</b>
      <Row>
        <LengthField
          label="Letter height"
          hint="5–6 mm at least in 40 weight (common practice)"
          value={lettering.heightMm}
          onChange={(heightMm) => set({ heightMm: heightMm! })}
          error={error("lettering.heightMm")}
        />
        <LengthField
          label="At most this wide"
          hint="longer text is made smaller"
          value={lettering.maxWidthMm}
          onChange={(maxWidthMm) => set({ maxWidthMm: maxWidthMm! })}
          error={error("lettering.maxWidthMm")}
        />
      </Row>
      <Row>
        <ChoiceField
          label="Place"
          value={lettering.place}
          onChange={(place) => set({ place: place as "alone" | "below" | "above" })}
          choices={[
            { value: "below", words: "below the design" },
            { value: "above", words: "above the design" },
            { value: "alone", words: "alone, no design" },
          ]}
          error={error("lettering.place")}
        />
        <ThreadField
          label="Thread"
          value={lettering.threadId}
          noneWords="as the order says"
          onChange={(threadId) => set({ threadId })}
          error={error("lettering.threadId")}
        />
      </Row>
      <Button variant="subtle" size="md" className="add-row" onClick={() => onChange({ lettering: null })}>
        No text here
      </Button>
    </div>
  );
}

function MachinesAllowed({
  placement,
  onChange,
}: {
  readonly placement: Placement;
  readonly onChange: (patch: Partial<Placement>) => void;
}) {
  const machines = useAll("machines", "no");
  const fitting = (machines.data ?? []).filter(
    (machine) =>
      machine.kind !== "straight-stitch" &&
      (placement.hoopId === null || machine.hoopIds.includes(placement.hoopId)),
  );
  const chosen = placement.machineIds;
  return (
    <div className="placement-machines">
      <label className="many-choice-box">
        <input
          type="checkbox"
          checked={chosen === null}
          onChange={(event) =>
            onChange({
              machineIds: event.currentTarget.checked ? null : fitting.map((machine) => machine.id),
            })
          }
        />
        <span>
          Every machine that takes the hoop
          {fitting.length > 0
            ? `: ${fitting.map((machine) => machine.name).join(", ")}`
            : placement.hoopId
              ? " (none does yet)"
              : ""}
        </span>
      </label>
      {chosen !== null && (
        <ManyChoice
          legend="Only these machines"
          value={chosen}
          onChange={(machineIds) => onChange({ machineIds })}
          none="No machine takes this hoop."
          choices={(machines.data ?? [])
            .filter((machine) => fitting.includes(machine) || chosen.includes(machine.id))
            .map((machine) => ({
              value: machine.id,
              words: fitting.includes(machine) ? machine.name : `${machine.name} (does not take the hoop)`,
            }))}
        />
      )}
    </div>
  );
}
