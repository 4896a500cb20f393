import { Button, Select } from "@mantine/core";
import { useAnswer } from "../asking";
import { sizeChoices } from "../machines/words";
import { useAll } from "../parts/all-of";
import { bound, type Editable, itemOf } from "../parts/bound";
import { AddRow, ChoiceField, choicesOf, Fields, ManyChoice, Row, TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { DurationField, durationWords, sizeWords, useHabits } from "../parts/quantity";
import type { BodyOf } from "../parts/record-form";
import { StockSelect } from "../parts/stock-select";
import { Lettering } from "./text-fields";
import { DesignSelect } from "./design-select";
import { PlacementRule } from "./placement-rule";
import "./products.css";

type Body = BodyOf<"products">;
type Placement = Body["placements"][number];

const labels: Readonly<Record<string, string>> = {
  name: "Placement",
  where: "Where",
  hoopId: "Hoop",
  backingId: "Backing",
  toppingId: "Topping film",
  needleSizeNm: "Needle size",
  needlePoint: "Needle point",
  designId: "Design",
  lettering: "The customer’s text",
  machineIds: "Machines",
  hoopS: "Hooping",
  unhoopS: "Un-hooping",
  finishS: "Finishing",
};

/** "Placement 2: hoop" for placements.1.hoopId; undefined for a path that leads into no placement. */
export function placementFieldLabel(path: string): string | undefined {
  const [, index, key] = /^placements\.(\d+)(?:\.(\w+))?/.exec(path) ?? [];
  if (index === undefined) return undefined;
  const what = key === "name" ? "name" : key && (labels[key]?.toLowerCase() ?? key);
  return `Placement ${Number(index) + 1}${what ? `: ${what}` : ""}`;
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

export function Placements({ form }: { readonly form: Editable<Body> }) {
  const { placements, cloth } = form.value;
  return (
    <Fields legend="Where it is embroidered" hint="Each placement is one run on a machine, in one hoop.">
      {placements.map(({ id }, index) => (
        <PlacementEditor
          key={id}
          placement={itemOf(form, "placements", index)}
          number={index + 1}
          onRemove={() => form.set({ placements: placements.filter((one) => one.id !== id) })}
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

interface PlacementProps {
  readonly placement: Editable<Placement>;
  readonly number: number;
  readonly onRemove: () => void;
}

function PlacementEditor({ placement, number, onRemove }: PlacementProps) {
  const { value, set } = placement;
  const field = bound(placement, labels);
  const productId = useListAddress().word("edit");
  return (
    <div
      className="placement"
      role="group"
      aria-label={`Placement ${number}${value.name ? `, ${value.name}` : ""}`}
    >
      <Row>
        <TextField {...field("name")} hint="such as left chest" />
        <HoopSelect {...field("hoopId")} />
      </Row>
      <TextField
        {...field("where")}
        hint="so that anyone finds the spot: 200 mm down from the shoulder seam, 110 mm off the centre"
      />
      <StockSelect {...field("backingId")} kind="backing" />
      <StockSelect {...field("toppingId")} kind="topping" />
      <Row>
        <ChoiceField
          {...field("needleSizeNm")}
          value={String(value.needleSizeNm)}
          onChange={(size) => set({ needleSizeNm: Number(size) })}
          choices={sizeChoices(value.needleSizeNm)}
        />
        <ChoiceField
          {...field("needlePoint")}
          choices={choicesOf({ sharp: "sharp, for wovens", ball: "ball, for knits" })}
        />
      </Row>
      <DesignSelect
        {...field("designId")}
        hint="what is sewn when the order names none; empty: the order names it, or lettering stands alone"
      />
      <Lettering placement={placement} />
      <MachinesAllowed placement={placement} />
      <OwnTimes placement={placement} />
      {productId !== "" && productId !== "new" && (
        <PlacementRule productId={productId} placementId={value.id} />
      )}
      <Button
        variant="subtle"
        size="md"
        className="add-row"
        onClick={onRemove}
        aria-label={`Take away placement ${number}`}
      >
        Take this placement away
      </Button>
    </div>
  );
}

function HoopSelect({
  value,
  ...rest
}: {
  readonly label: string;
  readonly value: string | null;
  readonly error: string | undefined;
  readonly onChange: (id: string | null) => void;
}) {
  const hoops = useAll("hoops");
  const { lengthUnit } = useHabits();
  return (
    <Select
      size="md"
      description="it must take the design"
      data={(hoops.data ?? [])
        .filter((one) => !one.archived || one.id === value)
        .map((one) => ({
          value: one.id,
          label: `${one.name} · ${sizeWords(one.fieldWidthMm, one.fieldHeightMm, lengthUnit)}`,
        }))}
      placeholder="no hoop"
      clearable
      clearButtonProps={{ "aria-label": "No hoop", size: "md" }}
      nothingFoundMessage="No hoop is described yet"
      value={value}
      {...rest}
    />
  );
}

function OwnTimes({ placement }: { readonly placement: Editable<Placement> }) {
  const field = bound(placement, labels);
  const studio = useAnswer("studio", "readStudio", {});
  const hoops = useAll("hoops");
  const hoop = hoops.data?.find((one) => one.id === placement.value.hoopId);
  const times = studio.data?.stepTimes;
  const usually = (seconds: number | null | undefined) =>
    seconds === null || seconds === undefined ? "the studio’s" : `usual: ${durationWords(seconds)}`;
  const hooping = hoop?.hoopS ?? (hoop?.kind === "screw" ? times?.hoopScrewS : times?.hoopMagneticS);
  return (
    <details className="placement-more">
      <summary>Times of its own</summary>
      <Row>
        <DurationField {...field("hoopS")} usual={usually(hooping)} />
        <DurationField {...field("unhoopS")} usual={usually(times?.unhoopS)} />
        <DurationField {...field("finishS")} usual={usually(times?.finishS)} />
      </Row>
    </details>
  );
}

function MachinesAllowed({ placement }: { readonly placement: Editable<Placement> }) {
  const { hoopId, machineIds: chosen } = placement.value;
  const machines = useAll("machines", "no");
  const fitting = (machines.data ?? []).filter(
    (machine) => machine.kind !== "straight-stitch" && (hoopId === null || machine.hoopIds.includes(hoopId)),
  );
  return (
    <div className="placement-machines">
      <label className="many-choice-box">
        <input
          type="checkbox"
          checked={chosen === null}
          onChange={(event) =>
            placement.set({
              machineIds: event.currentTarget.checked ? null : fitting.map((machine) => machine.id),
            })
          }
        />
        <span>
          Every machine that takes the hoop
          {fitting.length > 0
            ? `: ${fitting.map((machine) => machine.name).join(", ")}`
            : hoopId
              ? " (none does yet)"
              : ""}
        </span>
      </label>
      {chosen !== null && (
        <ManyChoice
          label="Only these machines"
          value={chosen}
          onChange={(machineIds) => placement.set({ machineIds })}
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
