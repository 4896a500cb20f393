import type { Answer, costs } from "#contract";
import { moneyWords, useHabits } from "../parts/quantity";
import { Empty } from "../parts/states";
import { FigureField, MoneyFigure } from "./figure-field";
import { type Kept, useFigures } from "./keep-figures";
import { SaveBar } from "./save-bar";
import { rateWords } from "./words";

type Machine = Answer<"readCosts">["machines"][number];
type Figure = Extract<costs.CostFigure, { of: "machine" }>;

const bare: Figure = {
  of: "machine",
  priceCents: null,
  lifeHours: null,
  resaleCents: null,
  serviceCents: null,
  serviceEveryHours: null,
  repairCentsPerHour: null,
  powerKw: null,
};

/** What an hour of each machine costs, from its price, life, service, repair and power. */
export function MachineFigures({
  figures,
  machines,
}: {
  readonly figures: Kept;
  readonly machines: readonly Machine[];
}) {
  const kept = useFigures("machine", figures, "of machines kept");
  const { currency } = useHabits();
  if (machines.length === 0)
    return <Empty title="No machine yet">Once machines are entered, their hours can be counted.</Empty>;
  return (
    <div className="costs">
      {machines.map((machine) => {
        const figure = kept.of(machine.machineId) ?? bare;
        const set = (own: Partial<Figure>) => kept.set(machine.machineId, { ...figure, ...own });
        return (
          <section key={machine.machineId} className="sheet costs-sheet costs-body" aria-label={machine.name}>
            <h3>
              {machine.name}{" "}
              <span className="quiet">
                {machine.hour
                  ? `${rateWords(machine.hour.total, currency)} an hour of sewing`
                  : "its hour is not known yet"}
              </span>
            </h3>
            {machine.hour && (
              <p className="quiet">
                Loss of worth {rateWords(machine.hour.lossOfWorth, currency)}, service{" "}
                {rateWords(machine.hour.service, currency)}, repair {rateWords(machine.hour.repair, currency)}
                , energy {rateWords(machine.hour.energy, currency)}.
              </p>
            )}
            <div className="costs-fields">
              {machine.priceCents === null ? (
                <MoneyFigure
                  label="Bought for"
                  value={figure.priceCents}
                  onChange={(priceCents) => set({ priceCents })}
                />
              ) : (
                <div className="costs-told">
                  <span>Bought for</span>
                  <b>{moneyWords(machine.priceCents, currency)}</b>
                  <span className="quiet">as its record says</span>
                </div>
              )}
              <FigureField
                label="Lasts"
                unit="h"
                hint="of sewing, from the day it was bought"
                value={figure.lifeHours}
                onChange={(lifeHours) => set({ lifeHours })}
              />
              <MoneyFigure
                label="Then sold for"
                value={figure.resaleCents}
                onChange={(resaleCents) => set({ resaleCents })}
              />
              <MoneyFigure
                label="A service costs"
                value={figure.serviceCents}
                onChange={(serviceCents) => set({ serviceCents })}
              />
              <FigureField
                label="Serviced every"
                unit="h"
                value={figure.serviceEveryHours}
                onChange={(serviceEveryHours) => set({ serviceEveryHours })}
              />
              <MoneyFigure
                label="Repairs"
                per="an hour"
                hint={
                  machine.repairs
                    ? `measured: ${machine.repairs.repairs} repairs in ${Math.round(machine.repairs.hours)} h, ${rateWords(machine.repairs.centsPerHour, currency)} an hour; that counts`
                    : "until 3 repairs with their costs were told at the machine"
                }
                value={figure.repairCentsPerHour}
                onChange={(repairCentsPerHour) => set({ repairCentsPerHour })}
              />
              <FigureField
                label="Power"
                unit="kW"
                decimals={2}
                value={figure.powerKw}
                onChange={(powerKw) => set({ powerKw })}
              />
            </div>
          </section>
        );
      })}
      <SaveBar changed={kept.changed > 0} isSaving={kept.isSaving} onSave={kept.save} onDrop={kept.drop} />
    </div>
  );
}
