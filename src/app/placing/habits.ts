import { aidValues, type Habit, plainHabits, type PlacingKept } from "#core/placing";
import type { Answer } from "#contract";
import type { Answers, Context } from "../context";
import { allOf, groupedBy } from "../records";

type Habits = Answer<"placingHabits">;
const DAY_MS = 86_400_000;

/** How pieces came to lie in their hoops: of kept first placings only; a piece taken up again lies as it lay. */
export function habitAnswers({ store, nowMs }: Context): Pick<Answers, "placingHabits"> {
  return {
    placingHabits: async ({ query }) => {
      let asked = store.db
        .selectFrom("placings")
        .select([
          "person_id",
          "product_id",
          "hoop_id",
          "angle_rad",
          "shift_x_mm",
          "shift_y_mm",
          "body",
          "job_id",
          "made_at_ms",
          "id",
        ])
        .where("made_at_ms", ">=", nowMs() - query.days * DAY_MS)
        .where("kind", "=", "first")
        .where("state", "=", "kept");
      if (query.person !== "") asked = asked.where("person_id", "=", query.person);
      if (query.product !== "") asked = asked.where("product_id", "=", query.product);
      if (query.hoop !== "") asked = asked.where("hoop_id", "=", query.hoop);
      const rows = await asked.orderBy("made_at_ms").orderBy("id").execute();
      // A run placed twice was hooped once: the last word counts.
      const last = [...new Map(rows.map((row) => [row.job_id, row])).values()];
      const placings = last.map((row): PlacingKept => ({
        personId: row.person_id ?? "",
        productId: row.product_id,
        hoopId: row.hoop_id ?? "",
        aid: (JSON.parse(row.body) as { marks: { aid: string | null } }).marks.aid,
        angleDeg: (row.angle_rad * 180) / Math.PI,
        xMm: row.shift_x_mm,
        yMm: row.shift_y_mm,
      }));
      const [people, hoops, products] = await Promise.all([
        allOf(store.db, "people"),
        allOf(store.db, "hoops"),
        allOf(store.db, "products"),
      ]);
      // Each piece counts for its product and for all that is hooped in that hoop; both are judged together.
      const both = [...placings, ...placings.map((one) => ({ ...one, productId: ALL }))];
      const names = (habit: Habit) => ({
        who: people.get(habit.personId)?.name ?? "Whoever places",
        hoop: hoops.get(habit.hoopId)?.name ?? "no hoop",
        product:
          habit.productId === ALL ? "what is hooped" : (products.get(habit.productId)?.name ?? "a product"),
      });
      const plain = plainHabits(both);
      return {
        placings: placings.length,
        groups: groupsOf(both, plain, names),
        aids: aidValues(placings).map((one) => ({ ...one })),
      };
    },
  };
}

/** Stands for all products of a person and hoop together. */
const ALL = "";

const keyOf = (one: Pick<PlacingKept, "personId" | "productId" | "hoopId">): string =>
  JSON.stringify([one.personId, one.productId, one.hoopId]);

function groupsOf(
  placings: readonly PlacingKept[],
  plain: readonly Habit[],
  names: (habit: Habit) => { readonly who: string; readonly hoop: string; readonly product: string },
): Habits["groups"] {
  const mean = (some: readonly PlacingKept[], of: (one: PlacingKept) => number) =>
    some.reduce((sum, one) => sum + of(one), 0) / some.length;
  return [...groupedBy(placings, keyOf)]
    .map(([key, some]) => ({
      personId: some[0]!.personId || null,
      productId: some[0]!.productId || null,
      hoopId: some[0]!.hoopId || null,
      n: some.length,
      meanDeg: mean(some, (one) => one.angleDeg),
      meanXMm: mean(some, (one) => one.xMm),
      meanYMm: mean(some, (one) => one.yMm),
      plain: plain
        .filter((habit) => keyOf(habit) === key)
        .map((habit) => ({
          measure: habit.measure,
          mean: habit.mean,
          plusMinus: habit.plusMinus,
          count: habit.count,
          sentence: sentenceOf(habit, names(habit)),
          short: `${sizeOf(habit)} ${wayOf(habit)}`,
        })),
    }))
    .sort((a, b) => b.plain.length - a.plain.length || b.n - a.n);
}

const sizeOf = ({ measure, mean }: Habit): string =>
  `${Math.abs(mean).toFixed(1)}${measure === "angleDeg" ? "°" : " mm"}`;

const wayOf = ({ measure, mean }: Habit): string =>
  measure === "yMm"
    ? mean > 0
      ? "away from you"
      : "towards you"
    : (measure === "angleDeg") === mean > 0
      ? "to the left"
      : "to the right";

function sentenceOf(
  habit: Habit,
  { who, hoop, product }: { readonly who: string; readonly hoop: string; readonly product: string },
): string {
  const turned = habit.measure === "angleDeg" ? "turned " : "";
  return `${who}: ${product} in ${hoop} comes to lie ${turned}${wayOf(habit)} by ${sizeOf(habit)} (±${habit.plusMinus.toFixed(1)}, over ${habit.count} pieces).`;
}
