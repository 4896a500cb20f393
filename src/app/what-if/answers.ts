import type { whatIf } from "#contract";
import { addDays, daysBetween } from "#core/shop";
import type { WhatIfRunTable } from "#store";
import type { Answers, Context } from "../context";
import { costGround } from "../costs/ground";
import { missingOf } from "../costs/missing";
import { parcelCost, sellingBy } from "../costs/orders";
import { costedProducts } from "../costs/products";
import { settingsOf } from "../costs/records";
import { refuseApp } from "../refusals";
import { firstCandidates, type MeantQuestion, MOST_RUNGS } from "./candidates";
import { type MeantCard, meantCard } from "./changes";
import { KEPT_FORM, type KeptQuestion } from "./kept";
import { newOrUsed } from "./new-or-used";
import { repairLogOf, repairsKnown } from "./own-repairs";
import { addCandidates, askedOf, setRun } from "./queue";
import { whatIfRefusals } from "./refusals";
import { resultOf } from "./results";
import { soFar, warmedUp } from "./so-far";
import type { Runner } from "./runner";
import { DAYS_BACK } from "./past";
import { basisOf, type BasisMade, shopNow, type ShopNow, whyNot } from "./shop";

type WhatIfAnswers = Pick<
  Answers,
  | "newOrUsed"
  | "knownRepairs"
  | "repairLogFile"
  | "whatIf"
  | "askWhatIf"
  | "readWhatIf"
  | "stopWhatIf"
  | "resumeWhatIf"
>;

/** Questions shown; older ones are kept. */
const SHOWN_RUNS = 30;
/** Seasons times days times shops: about ten minutes of one core in a busy studio. */
const MOST_DAYS = 400_000;

export function whatIfAnswers(context: Context, runner: Pick<Runner, "kick">): WhatIfAnswers {
  const { store, nowMs, newId } = context;
  const { db } = store;

  async function shopOrRefuse(): Promise<ShopNow> {
    const shop = await shopNow(db, nowMs());
    if (!shop) throw refuseApp("not-set-up", "There is no studio here yet.");
    return shop;
  }

  async function runRow(id: string): Promise<WhatIfRunTable> {
    const row = await db.selectFrom("what_if_runs").selectAll().where("id", "=", id).executeTakeFirst();
    if (!row) throw whatIfRefusals("question-unknown", `There is no question ${id}.`);
    return row;
  }

  async function answerOf(row: WhatIfRunTable): Promise<whatIf.WhatIfAnswer> {
    const run = (await told([row]))[0]!;
    const kept = JSON.parse(row.question) as KeptQuestion;
    const assumptions = JSON.parse(row.assumptions) as whatIf.Assumption[];
    if (kept.form !== KEPT_FORM)
      return {
        run: {
          ...run,
          state: "failed",
          failure:
            "It was played by an earlier build of the program, whose answers are read no more: ask it again.",
        },
        question: kept.asked,
        assumptions,
        result: null,
        resultSeasons: null,
      };
    const found = run.played === 0 ? null : soFar(await askedOf(db, row), row.state === "done");
    return {
      run,
      question: kept.asked,
      assumptions: found ? [...assumptions, warmedUp(found.asked)] : assumptions,
      result: found && resultOf(found.asked),
      resultSeasons: found && found.seasons,
    };
  }

  async function told(rows: readonly WhatIfRunTable[]): Promise<whatIf.WhatIfRun[]> {
    if (rows.length === 0) return [];
    const counts = await db
      .selectFrom("what_if_plays")
      .select(({ fn }) => ["run_id", "state", fn.countAll<number>().as("count")])
      .where(
        "run_id",
        "in",
        rows.map(({ id }) => id),
      ) // prettier-ignore
      .groupBy(["run_id", "state"])
      .execute();
    return rows.map((row) => {
      const own = counts.filter(({ run_id }) => run_id === row.id);
      return {
        id: row.id,
        title: row.title,
        askedAtMs: row.asked_at_ms,
        state: row.state as whatIf.WhatIfRun["state"],
        played: Number(own.find(({ state }) => state === "done")?.count ?? 0),
        toPlay: own.reduce((sum, { count }) => sum + Number(count), 0),
        sentence: row.sentence,
        failure: row.failure,
      };
    });
  }

  async function ask(question: whatIf.WhatIfQuestion, who: string): Promise<whatIf.WhatIfAnswer> {
    const shop = await shopOrRefuse();
    const { settings } = await settingsOf(db);
    const bare = await basisOf(db, shop, question);
    const meant = meantQuestion(shop, bare, question, {
      wageCentsPerHour: settings.wageCentsPerHour?.value ?? null,
      repairs: (await repairsKnown(db, shop, null)).fitted,
    });
    const made = withCards(bare, "cards" in meant ? meant.cards : []);
    const names = {
      hoops: shop.hoops.map(({ id, name }) => [id, name] as const),
      machines: shop.machines.map(({ id, name }) => [id, name] as const),
    };
    const candidates = firstCandidates(meant, made.basis, {
      hoops: new Map(names.hoops),
      machines: new Map(names.machines),
    });
    const shops = meant.kind === "what-next" ? 1 + MOST_RUNGS * meant.cards.length : candidates.length;
    if (shops * question.seasons * question.days > MOST_DAYS)
      throw whatIfRefusals(
        "question-too-large",
        `${shops} shops × ${question.seasons} seasons × ${question.days} days are ${shops * question.seasons * question.days} days to play; at most ${MOST_DAYS} are played.`,
      );
    const kept: KeptQuestion = {
      form: KEPT_FORM,
      asked: question,
      meant,
      worth:
        "worth" in question
          ? question.worth
          : { handHourCents: null, latePieceCents: null, pieceCents: null },
      currency: shop.records.studio.body.currency,
      names,
    };
    const id = newId("wi");
    await store.write({ who, what: "Asked what if" }, async ({ db: trx, touch }) => {
      await trx
        .insertInto("what_if_runs")
        .values({
          id,
          asked_at_ms: nowMs(),
          finished_at_ms: null,
          state: "running",
          title: titleOf(shop, meant),
          sentence: "",
          failure: null,
          question: JSON.stringify(kept),
          basis: JSON.stringify(made.basis),
          assumptions: JSON.stringify(made.assumptions),
        })
        .execute();
      await addCandidates(trx, id, candidates, { seasons: question.seasons, state: "open" });
      touch("what-if", id);
    });
    runner.kick();
    return answerOf(await runRow(id));
  }

  return {
    whatIf: async () => {
      const rows = await db
        .selectFrom("what_if_runs")
        .selectAll()
        .orderBy("asked_at_ms", "desc")
        .orderBy("id", "desc")
        .limit(SHOWN_RUNS)
        .execute();
      return { shop: await shopShown(context, await shopOrRefuse()), runs: await told(rows) };
    },
    knownRepairs: async ({ body }) => repairsKnown(db, await shopOrRefuse(), body.log),
    repairLogFile: async ({ params }) => {
      const shop = await shopOrRefuse();
      const machine = shop.machines.find(({ id }) => id === params.id);
      if (!machine)
        throw refuseApp("not-found", `There is no machine ${params.id}.`, [
          { field: "id", found: params.id },
        ]);
      const log = await repairLogOf(db, { studio: shop.records.studio, machine, nowMs: nowMs() });
      return {
        bytes: new TextEncoder().encode(`${JSON.stringify(log, null, 2)}\n`),
        mediaType: "application/json",
        saveAs: "repairs.json",
      };
    },
    newOrUsed: async ({ body }) => newOrUsed(body, (await shopOrRefuse()).records.studio.body.currency),
    askWhatIf: ({ body }, call) => ask(body, call.who),
    readWhatIf: async ({ params }) => answerOf(await runRow(params.id)),
    stopWhatIf: async ({ params }, call) => {
      await runRow(params.id);
      await setRun(store, call.who, params.id, "stopped");
      return answerOf(await runRow(params.id));
    },
    resumeWhatIf: async ({ params }, call) => {
      await runRow(params.id);
      await setRun(store, call.who, params.id, "running");
      runner.kick();
      return answerOf(await runRow(params.id));
    },
  };
}

function meantQuestion(
  shop: ShopNow,
  { basis, clock }: BasisMade,
  question: whatIf.WhatIfQuestion,
  known: Pick<Parameters<typeof meantCard>[0], "wageCentsPerHour" | "repairs">,
): MeantQuestion {
  const cards = (asked: readonly whatIf.WhatIfCard[]): MeantCard[] =>
    asked.map((card, nth) => meantCard({ shop, basis, clock, ...known }, card, nth));
  switch (question.kind) {
    case "changes":
      return { kind: "changes", cards: cards(question.cards) };
    case "what-next":
      return { kind: "what-next", cards: cards(question.cards), budgetCents: question.budgetCents };
    case "how-many-hoops":
      if (!shop.hoops.some(({ id }) => id === question.hoopId))
        throw whatIfRefusals("change-unfitting", `There is no hoop ${question.hoopId} in use.`);
      return { kind: "how-many-hoops", hoopId: question.hoopId, most: question.most };
    case "how-many-machines":
      if (!shop.machines.some(({ id }) => id === question.likeId))
        throw whatIfRefusals("change-unfitting", `There is no machine ${question.likeId} in use.`);
      return { kind: "how-many-machines", likeId: question.likeId, most: question.most };
  }
}

/** What the cards bring with them: prices of new products, what is assumed of each. */
function withCards(made: BasisMade, cards: readonly MeantCard[]): BasisMade {
  const added = Object.fromEntries(
    cards.flatMap(({ product }, nth) => (product ? [[nth, product] as const] : [])),
  );
  const { prices } = made.basis;
  return {
    ...made,
    basis: { ...made.basis, prices: prices && { ...prices, added } },
    assumptions: [...cards.flatMap(({ assumptions = [] }) => assumptions), ...made.assumptions],
  };
}

function titleOf(shop: ShopNow, question: MeantQuestion): string {
  const text = () => {
    switch (question.kind) {
      case "changes":
        return question.cards.map(({ words }) => words).join(", ");
      case "what-next":
        return `What next: ${question.cards.map(({ words }) => words).join("; ")}`;
      case "how-many-hoops":
        return `How many of hoop ${shop.hoops.find(({ id }) => id === question.hoopId)!.name}?`;
      case "how-many-machines":
        return `How many machines for ${shop.people.length === 1 ? "one person" : `${shop.people.length} people`}?`;
    }
  };
  const words = text();
  return (words.slice(0, 1).toUpperCase() + words.slice(1)).slice(0, 300);
}

/** Today's shop in a few figures; counted in the database, without making a season of it. */
async function shopShown({ store: { db } }: Context, shop: ShopNow): Promise<whatIf.WhatIfShop> {
  const { today, records } = shop;
  const since = addDays(today, -DAYS_BACK);
  const ground = await costGround(db, shop.nowMs);
  const { settings } = ground;
  const [costed, orders, pieces] = await Promise.all([
    costedProducts(db, ground),
    db
      .selectFrom("orders")
      .select(({ fn }) => [fn.countAll<number>().as("count"), fn.min("placed_on").as("first")])
      .where("placed_on", ">=", since)
      .where("placed_on", "<=", today)
      .executeTakeFirstOrThrow(),
    db
      .selectFrom("pieces")
      .innerJoin("orders", "orders.id", "pieces.order_id")
      .select(({ fn }) => fn.countAll<number>().as("count"))
      .where("orders.placed_on", ">=", since)
      .where("orders.placed_on", "<=", today)
      .where("pieces.remake_of", "is", null)
      .where("pieces.state", "!=", "cancelled")
      .executeTakeFirstOrThrow(),
  ]);
  const pastOrders = Number(orders.count);
  const from = pastOrders === 0 ? null : orders.first;
  const days = from === null ? 1 : Math.max(1, daysBetween(from, today) + 1);
  return {
    today,
    currency: records.studio.body.currency,
    wageCentsPerHour: settings.wageCentsPerHour?.value ?? null,
    turnaroundDays: records.studio.body.dealerTurnaroundDays,
    machines: shop.machines.map(({ id, name, needles, stitchesPerMinute }) => ({
      id,
      name,
      needles: needles.length,
      stitchesPerMinute: shop.planned("sewing-speed", id) ?? stitchesPerMinute,
    })),
    hoops: shop.hoops.map(({ id, name, count, kind }) => ({ id, name, count, kind })),
    people: shop.people.map(({ id, name }) => ({ id, name })),
    pastOrders,
    pastPieces: Number(pieces.count),
    pastFrom: from,
    piecesADay: Number(pieces.count) / days,
    costsMissing: missingOf([
      ...costed.map(({ cost }) => cost.missing),
      parcelCost(ground).missing,
      sellingBy(ground, "").missing,
    ]).map(({ what }) => what),
    sewsGoods: costed.some(({ product }) => product.kind === "sewn"),
    whyNot: whyNot(shop, pastOrders),
  };
}
