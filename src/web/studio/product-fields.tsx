import { ChoiceField, Fields, PlainChoice, Row, TextField } from "../parts/form";
import { DurationField, MoneyField } from "../parts/quantity";
import type { FormOf } from "../parts/record-list";
import { StockSelect } from "../parts/stock-select";
import { placementFieldLabel, Placements } from "./placement-fields";

export const productLabels: Readonly<Record<string, string>> = {
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

/** "Placement 2: hoop" for placements.1.hoopId. */
export const productFieldLabel = (path: string): string =>
  placementFieldLabel(path) ?? productLabels[path] ?? path;

export function ProductFields({ form, field }: FormOf<"products">) {
  const { value } = form;
  return (
    <>
      <Fields legend="What is sold">
        <PlainChoice
          {...field("kind")}
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
          <TextField {...field("code")} hint="as orders name it" />
          <TextField {...field("name")} hint="as customers know it" />
        </Row>
        <StockSelect {...field("blankId")} kind="blank" hint="taken from stock with each piece" />
        <ChoiceField
          {...field("cloth")}
          hint="underlay and backing follow from it"
          choices={[
            { value: "woven", words: "woven: canvas, linen, cotton" },
            { value: "knit", words: "knit: sweatshirt, jersey" },
            { value: "pile", words: "pile: towel, fleece" },
          ]}
        />
        <Row>
          <MoneyField {...field("priceCents")} hint="of one piece" />
          <DurationField {...field("sewS")} inMinutes hint="of one piece; 0 where nothing is sewn" />
        </Row>
      </Fields>
      {(value.kind === "embroidered" || value.placements.length > 0) && <Placements form={form} />}
      <Fields legend="Caution and note">
        <TextField
          long
          {...field("caution")}
          hint="stands with the work and on its ticket: where it can hurt, or what is worn"
        />
        <TextField long {...field("note")} />
      </Fields>
    </>
  );
}
