import { useState } from "react";
import { type Answer, type costs, rows } from "#contract";
import { amountOf, minorDigits } from "#core/base";
import { roundedPrice, standardTime } from "#core/costing";
import { useChange } from "../asking";
import { ChoiceField, Note, NumberField } from "../parts/form";
import { moneyWords, useHabits } from "../parts/quantity";
import { same } from "../parts/merge";
import { FigureField, MoneyFigure } from "./figure-field";
import { SaveBar } from "./save-bar";
import { Channels, OverheadFields, PackingFields, RoundingFields, TierFields } from "./settings-parts";

type Settings = costs.CostSettings;

/** What an allowance makes of ten minutes of work, by either way of reckoning it. */
const reckonedWords = ({ share, of }: NonNullable<Settings["allowance"]>): string => {
  const minutes = (way: "of-work" | "of-shift") => standardTime(10, { share, of: way }).toFixed(2);
  const other = of === "of-work" ? "of-shift" : "of-work";
  return `10 min of work are paid as ${minutes(of)}; the other way as ${minutes(other)}`;
};

/** The studio's own figures: hands, overhead, energy, tax, parcels, channels, and how prices are made. */
export function SettingsForm({
  version,
  settings,
  measured,
}: {
  readonly version: number;
  readonly settings: Settings;
  readonly measured: Answer<"readCosts">["measured"];
}) {
  const [value, setValue] = useState(settings);
  const { currency } = useHabits();
  const change = useChange("keepCostSettings", { lists: ["costs"], done: "The studio’s figures kept." });
  const set = (own: Partial<Settings>) => setValue((was) => ({ ...was, ...own }));
  const parsed = rows.keepCostSettings.body.safeParse(value);
  const step = amountOf(value.rounding.stepCents, currency).toFixed(minorDigits(currency));
  return (
    <div className="costs">
      <section className="sheet costs-sheet costs-body" aria-label="Hands">
        <h3>Hands</h3>
        <div className="costs-fields">
          <MoneyFigure
            label="Wage"
            per="an hour"
            hint="with all an hour costs you; your own hours too"
            value={value.wageCentsPerHour}
            onChange={(wageCentsPerHour) => set({ wageCentsPerHour })}
          />
          <FigureField
            label="Allowance"
            unit="%"
            decimals={1}
            scale={0.01}
            hint="rest, reaching, small waits; 9 % is common practice"
            value={value.allowance && { value: value.allowance.share, from: value.allowance.from }}
            onChange={(figure) =>
              set({
                allowance: figure && {
                  share: Math.min(0.95, figure.value),
                  from: figure.from,
                  of: value.allowance?.of ?? "of-work",
                },
              })
            }
          />
          {value.allowance && (
            <ChoiceField
              label="Reckoned"
              value={value.allowance.of}
              choices={[
                { value: "of-work", words: "on top of the work" },
                { value: "of-shift", words: "of the whole shift" },
              ]}
              hint={reckonedWords(value.allowance)}
              onChange={(of) => set({ allowance: value.allowance && { ...value.allowance, of } })}
            />
          )}
          <FigureField
            label="Threadings a run"
            decimals={2}
            hint={
              measured.threadings
                ? `measured: ${measured.threadings.perRun.toFixed(2)} in ${measured.threadings.runs} runs; that counts`
                : "needles threaded for a run, in the mean, until stations told of 20"
            }
            value={value.threadingsPerRun}
            onChange={(threadingsPerRun) => set({ threadingsPerRun })}
          />
        </div>
      </section>
      <section className="sheet costs-sheet costs-body" aria-label="The house">
        <h3>The house</h3>
        <OverheadFields value={value.overhead} onChange={(overhead) => set({ overhead })} />
        <div className="costs-fields">
          <MoneyFigure
            label="Energy"
            per="a kWh"
            parts={2}
            value={value.energyCentsPerKwh}
            onChange={(energyCentsPerKwh) => set({ energyCentsPerKwh })}
          />
          <FigureField
            label="Spoiled pieces"
            unit="%"
            decimals={1}
            scale={0.01}
            hint={
              measured.spoiled
                ? `measured: ${(100 * measured.spoiled.share).toFixed(1)} % of ${measured.spoiled.pieces} pieces; that counts`
                : "until 20 pieces are done"
            }
            value={value.spoiledShare}
            onChange={(spoiledShare) => set({ spoiledShare })}
          />
          <FigureField
            label="A bobbin lasts"
            unit="stitches"
            hint="empty: 30,000, common practice"
            value={value.stitchesPerBobbin}
            onChange={(stitchesPerBobbin) => set({ stitchesPerBobbin })}
          />
        </div>
      </section>
      <section className="sheet costs-sheet costs-body" aria-label="Out of the house">
        <h3>Out of the house</h3>
        <PackingFields value={value.packing} onChange={(packing) => set({ packing })} />
        <Channels value={value.channels} onChange={(channels) => set({ channels })} />
      </section>
      <section className="sheet costs-sheet costs-body" aria-label="Prices">
        <h3>Prices</h3>
        <div className="costs-fields">
          <FigureField
            label="Tax within prices"
            unit="%"
            decimals={3}
            scale={0.01}
            hint="of the price before tax; 0 where prices hold none"
            value={value.taxShare}
            onChange={(taxShare) => set({ taxShare })}
          />
          <NumberField
            label="Margin wanted"
            unit="%"
            decimals={1}
            max={95}
            hint="of the price before tax"
            value={Math.round(value.margin * 1000) / 10}
            onChange={(percent) => set({ margin: (percent ?? Number.NaN) / 100 })}
          />
          <FigureField
            label="Making a design ready"
            unit="min"
            decimals={1}
            scale={60}
            hint="once for each line of a quote"
            value={value.prepareS}
            onChange={(prepareS) =>
              set({ prepareS: prepareS && { ...prepareS, value: Math.round(prepareS.value) } })
            }
          />
          <NumberField
            label="A quote holds"
            unit="days"
            min={1}
            max={365}
            value={value.quoteDays}
            onChange={(quoteDays) => set({ quoteDays: quoteDays ?? Number.NaN })}
          />
        </div>
        <p className="quiet">Whether tax is due, and which, whoever does your books knows.</p>
        <RoundingFields value={value.rounding} onChange={(rounding) => set({ rounding })} />
        {parsed.success && (
          <p className="quiet">
            In steps of {step}:{" "}
            {[1234, 5678]
              .map(
                (one) =>
                  `${moneyWords(one, currency)} becomes ${moneyWords(roundedPrice(one, value.rounding), currency)}`,
              )
              .join(", ")}
            .
          </p>
        )}
        <TierFields
          tiers={value.tiers}
          rush={value.rush}
          onTiers={(tiers) => set({ tiers })}
          onRush={(rush) => set({ rush })}
        />
      </section>
      {!parsed.success && (
        <Note kind="caution">
          {parsed.error.issues[0]?.path.join(" ")}: {parsed.error.issues[0]?.message}
        </Note>
      )}
      <SaveBar
        changed={!same(value, settings)}
        isSaving={change.isPending}
        onDrop={() => setValue(settings)}
        onSave={() => parsed.success && change.mutate({ body: parsed.data, version })}
      />
    </div>
  );
}
