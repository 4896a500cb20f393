/**
 * Learned times, breaks and forecasts against simulated shops whose truth is known: errors, how often ranges hold, how
 * fast changes are followed, what interruptions do, how often charts cry wolf, and how long learning takes.
 */
import { type Chance, seededChance } from "#core/base";
import { forecastService, needleBreaks, type NeedleUse } from "#core/care";
import { addDays, daysBetween, defaultOpenHours, weekdayOf } from "#core/shop";
import { learnedTime, learnTimes, type TimeObservation } from "../../src/core/floor/learned";
import { robustLocation } from "../../src/core/floor/learned/robust";
import { measuredSeries, normal, simulatedShop, USUAL_S } from "../../src/core/floor/learned/some-shops";

const mean = (values: readonly number[]) => values.reduce((sum, one) => sum + one, 0) / values.length;
const rms = (values: readonly number[]) => Math.sqrt(mean(values.map((one) => one * one)));
const percent = (share: number) => `${(share * 100).toFixed(1)} %`;
const times = <T>(count: number, make: (index: number) => T): T[] =>
  Array.from({ length: count }, (_, index) => make(index));

const KEY = { machineId: null, hoopId: "H1", productId: "P1", threadId: null };
const asked = { ...KEY, quantity: "hooping" as const, usual: USUAL_S, fixed: null };
const hoopings = (values: readonly number[]): TimeObservation[] =>
  values.map((value, index) => ({ ...KEY, quantity: "hooping", value, usual: USUAL_S, atMs: index }));

function errorByCount(chance: Chance): void {
  console.log(
    "error of the robust location (2000 series each), against spread/√count; mean of the same values",
  );
  for (const count of [3, 5, 10, 20, 40, 80, 160, 320]) {
    const errors = times(2000, () => {
      const values = times(count, () => 0.25 * normal(chance));
      return [
        robustLocation({ values, usualSpread: 0.25, memory: Infinity })!.location,
        mean(values),
      ] as const;
    });
    const theory = 0.25 / Math.sqrt(count);
    const own = rms(errors.map(([one]) => one));
    console.log(
      `  ${String(count).padStart(4)}: ${percent(own)} (× ${(own / theory).toFixed(3)}); mean × ${(rms(errors.map(([, one]) => one)) / theory).toFixed(3)}`,
    );
  }
}

function rangesHold(chance: Chance): void {
  console.log(
    "nine-in-ten ranges that hold the truth, 300 shops of 4 hoops × 5 products; error; error of the plain mean",
  );
  for (const each of [1, 3, 10, 30, 100]) {
    const measured: number[] = [];
    const unseen: number[] = [];
    const errors: number[] = [];
    const plain: number[] = [];
    for (let shop = 0; shop < 300; shop++) {
      const spread = [0.15, 0.25, 0.4][shop % 3]!;
      const simulated = simulatedShop({
        chance,
        hoops: 4,
        products: 5,
        each,
        spread,
        between: [0.35, 0.2, 0.15],
      });
      const learned = learnTimes(simulated.observations);
      for (let hoop = 0; hoop < 4; hoop++)
        for (let product = 0; product <= 5; product++) {
          const key = { hoopId: `H${hoop}`, productId: `P${product}` };
          const found = learnedTime(learned, { ...asked, ...key });
          const truth = simulated.trueS(hoop, product);
          (product === 5 ? unseen : measured).push(found.low <= truth && truth <= found.high ? 1 : 0);
          if (product === 5) continue;
          errors.push(Math.log(found.estimate / truth));
          const own = simulated.observations.filter(
            (one) => one.hoopId === key.hoopId && one.productId === key.productId,
          );
          plain.push(mean(own.map((one) => Math.log(one.value))) - Math.log(truth));
        }
    }
    console.log(
      `  ${String(each).padStart(4)} each: ${percent(mean(measured))}; product never seen ${percent(mean(unseen))}; error ${percent(rms(errors))}, plain mean ${percent(rms(plain))}`,
    );
  }
}

function changesFollowed(chance: Chance): void {
  console.log(
    "a step from 60 s to 45 s after 150 measurements: what is left of it (200 series, 5 % lunches)",
  );
  for (const after of [0, 10, 21, 40, 70, 100]) {
    const left = times(200, () => {
      const typicalS = (index: number) => (index < 150 ? 60 : 45);
      const values = measuredSeries({ chance, count: 150 + after, typicalS, spread: 0.2, lunches: 0.05 });
      return Math.log(learnedTime(learnTimes(hoopings(values)), asked).estimate / 45) / Math.log(60 / 45);
    });
    console.log(`  ${String(after).padStart(4)} later: ${percent(mean(left))}`);
  }
}

function interruptions(): void {
  console.log(
    "lunches of 30 to 60 min among 60 measurements of 45 s (500 series): estimate moved, bias; plain mean",
  );
  for (const lunches of [0.02, 0.05, 0.1, 0.2]) {
    const moved = times(500, (seed) => {
      const typical = { count: 60, typicalS: () => 45, spread: 0.25 };
      const clean = measuredSeries({ ...typical, chance: seededChance(seed), lunches: 0 });
      const eaten = measuredSeries({ ...typical, chance: seededChance(seed), lunches });
      const of = (values: readonly number[]) => learnedTime(learnTimes(hoopings(values)), asked).estimate;
      return [of(eaten) / of(clean) - 1, mean(eaten) / mean(clean) - 1] as const;
    });
    console.log(
      `  ${percent(lunches)}: ${percent(rms(moved.map(([one]) => one)))}, ${percent(mean(moved.map(([one]) => one)))}; mean ${percent(mean(moved.map(([, one]) => one)))}`,
    );
  }
}

const TODAY = "2026-03-02";

/** A machine's use day by day: a weekday pattern, busy and slow weeks, days that scatter, a level that wanders or not. */
function simulatedUse(chance: Chance, wander: number): (day: string) => number {
  const start = 2 + 4 * chance.next();
  let level = start;
  let week = 1;
  return (day) => {
    const weekday = weekdayOf(day);
    if (weekday === 1) {
      week = Math.max(0.2, 1 + 0.2 * normal(chance));
      level = Math.max(0.5, level + wander * start * normal(chance));
    }
    const usual = level * (1.3 - 0.1 * weekday) * week;
    return weekday > 5 ? 0 : Math.max(0, usual * (1 + 0.35 * normal(chance)));
  };
}

function forecastOf(chance: Chance, weeks: number, wander: number) {
  const use = simulatedUse(chance, wander);
  const past = times(weeks * 7, (index) => addDays(TODAY, index - weeks * 7)).map((day) => ({
    day,
    runS: use(day) * 3600,
  }));
  const left = 60 + 240 * chance.next();
  const told = forecastService({
    machineName: "A",
    everyHours: 500,
    sinceHours: 500 - left,
    today: TODAY,
    past,
    planned: [],
    openHours: defaultOpenHours,
    daysOff: [],
  });
  let day = TODAY;
  for (let sum = use(day); sum < left; sum += use(day)) day = addDays(day, 1);
  const holds = told.early! <= day && (told.late === null || day <= told.late);
  return { holds: holds ? 1 : 0, width: told.late === null ? Infinity : daysBetween(told.early!, told.late) };
}

function forecasts(chance: Chance): void {
  console.log(
    "service forecasts that hold (300 machines each), 60 to 300 h ahead, and the range's median width",
  );
  for (const wander of [0, 0.03, 0.06])
    for (const weeks of [2, 8, 26, 52]) {
      const found = times(300, () => forecastOf(chance, weeks, wander));
      const widths = found.map((one) => one.width).sort((a, b) => a - b);
      console.log(
        `  level wanders ${percent(wander)} a week, ${String(weeks).padStart(2)} weeks seen: ${percent(mean(found.map((one) => one.holds)))}, ${widths[150]} days wide`,
      );
    }
}

function poisson(chance: Chance, expected: number): number {
  let product = chance.next();
  let count = 0;
  for (; product > Math.exp(-expected); count++) product *= chance.next();
  return count;
}

function charts(chance: Chance): void {
  console.log("points of 20,000 stitches until a needle is told to break more (usual 0.05 in 1000)");
  for (const [rate, most, runs] of [
    [0.05, 2500, 25],
    [0.1, 300, 200],
    [0.15, 300, 200],
    [0.3, 300, 200],
  ] as const) {
    const lengths = times(runs, () => {
      const uses: NeedleUse[] = times(most, (index) => ({
        machineId: "A",
        needle: 1,
        atMs: index,
        day: "2026-03-02",
        runS: 1500,
        stitches: 20_000,
        breaks: poisson(chance, rate * 20),
      }));
      for (let length = 1; length <= most; length++) {
        const [found] = needleBreaks({
          uses: uses.slice(Math.max(0, length - 30), length),
          changes: [],
          usualPerThousand: 0.05,
        });
        if (found!.state === "rising") return length;
      }
      return most;
    });
    console.log(`  true rate ${rate}: ${mean(lengths).toFixed(1)}`);
  }
}

function speed(chance: Chance): void {
  const observations: TimeObservation[] = times(200_000, (index) => ({
    quantity: (["hooping", "threading", "loading", "sewing-speed", "finishing"] as const)[index % 5]!,
    value: 45 * Math.exp(0.25 * normal(chance)),
    usual: 45,
    atMs: index,
    machineId: `M${index % 3}`,
    hoopId: `H${index % 7}`,
    productId: `P${index % 41}`,
    threadId: `N${index % 60}`,
  }));
  const start = performance.now();
  const learned = learnTimes(observations);
  const taught = performance.now();
  for (let index = 0; index < 1000; index++)
    learnedTime(learned, { ...asked, hoopId: `H${index % 7}`, productId: `P${index % 41}` });
  console.log(
    `200,000 measurements learned in ${(taught - start).toFixed(0)} ms; one answer ${(performance.now() - taught).toFixed(0)} µs`,
  );
}

const chance = seededChance(2026);
errorByCount(chance);
rangesHold(chance);
changesFollowed(chance);
interruptions();
forecasts(chance);
charts(chance);
speed(chance);
