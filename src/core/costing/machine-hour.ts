/** What an hour of a machine costs while it sews: its loss of worth, service, repair and energy. */
import { invariant } from "#core/base";

/** Money in whole cents, times in hours of sewing. */
export interface MachineHourAsked {
  readonly priceCents: number;
  /** What it brings when sold after `lifeHours`. */
  readonly resaleCents: number;
  /** Hours it still runs from the day it was bought. */
  readonly lifeHours: number;
  readonly serviceCents: number;
  readonly serviceEveryHours: number;
  readonly repairCentsPerHour: number;
  readonly powerKw: number;
  readonly energyCentsPerKwh: number;
}

/** Cents an hour, not rounded, part by part. */
export interface MachineHour {
  readonly lossOfWorth: number;
  readonly service: number;
  readonly repair: number;
  readonly energy: number;
  readonly total: number;
}

export function machineHour(asked: MachineHourAsked): MachineHour {
  invariant(
    asked.lifeHours > 0 && asked.serviceEveryHours > 0,
    "a machine lasts and is serviced after hours above 0",
  );
  const parts = {
    lossOfWorth: (asked.priceCents - asked.resaleCents) / asked.lifeHours,
    service: asked.serviceCents / asked.serviceEveryHours,
    repair: asked.repairCentsPerHour,
    energy: asked.powerKw * asked.energyCentsPerKwh,
  };
  return { ...parts, total: parts.lossOfWorth + parts.service + parts.repair + parts.energy };
}
