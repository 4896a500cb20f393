import { Select } from "@mantine/core";
import { useMemo } from "react";
import { bound, type Editable, type Labels } from "../parts/bound";
import { PlainChoice, Row } from "../parts/form";
import { currencyChoices, timeZoneChoices } from "./guess";

/** What a studio is asked first and can change later. */
export interface Basics {
  timeZone: string;
  currency: string;
  lengthUnit: "mm" | "inch";
  paper: "A4" | "Letter";
}

export const basicLabels: Labels = {
  timeZone: "Time zone",
  currency: "Currency",
  lengthUnit: "Lengths in",
  paper: "Paper for tickets",
};

const searched = { size: "md", searchable: true, allowDeselect: false, limit: 60 } as const;

/** Time zone and currency, lengths and paper. */
export function BasicFields({
  form,
  zoneHint,
  currencyHint,
}: {
  readonly form: Editable<Basics>;
  readonly zoneHint: string;
  readonly currencyHint: string;
}) {
  const field = bound(form, basicLabels);
  const { timeZone } = form.value;
  const zones = useMemo(() => timeZoneChoices(timeZone), [timeZone]);
  const currencies = useMemo(() => currencyChoices(), []);
  return (
    <>
      <Row>
        <Select
          {...searched}
          {...field("timeZone")}
          description={zoneHint}
          data={zones}
          nothingFoundMessage="No such zone"
        />
        <Select
          {...searched}
          {...field("currency")}
          description={currencyHint}
          data={currencies}
          nothingFoundMessage="No such currency"
        />
      </Row>
      <PlainChoice
        {...field("lengthUnit")}
        choices={[
          { value: "mm", words: "millimetres" },
          { value: "inch", words: "inches", meaning: "kept in mm, shown and typed in inches" },
        ]}
      />
      <PlainChoice
        {...field("paper")}
        choices={[
          { value: "A4", words: "A4", meaning: "210 × 297 mm" },
          { value: "Letter", words: "Letter", meaning: "8.5 × 11 in" },
        ]}
      />
    </>
  );
}
