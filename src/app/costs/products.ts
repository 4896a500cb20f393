import type { Answer, shapes } from "#contract";
import { earned } from "#core/costing";
import type { Store } from "#store";
import { groupedBy, inPortions, type Kept } from "../records";
import type { CostGround } from "./ground";
import { missingOf } from "./missing";
import { parcelCost, sellingBy } from "./orders";
import { type Costed, costedPiece } from "./piece";
import {
  type JobBrief,
  lastRuns,
  meanSewing,
  type RunSewing,
  runSewing,
  sewingOf,
  versionsOf,
} from "./sewing";

/** Each product as one piece: with what its last ordered pieces had sewn on them, else with its own design. */

type Product = Kept<shapes.ProductBody>;

export interface CostedProduct {
  readonly product: Product;
  readonly cost: Costed;
  /** Pieces its stitches are the mean of. */
  readonly ofPieces: number;
}

export async function costedProducts(db: Store["db"], ground: CostGround): Promise<CostedProduct[]> {
  const products = [...ground.products.values()].filter((one) => !one.archived);
  const runs = await lastRuns(db);
  const designIds = products.flatMap((one) =>
    one.placements.flatMap(({ designId }) => (designId === null ? [] : [designId])),
  );
  const latest = await inPortions([...new Set(designIds)], (portion) =>
    db.selectFrom("designs").select(["id", "latest_version_id"]).where("id", "in", portion).execute(),
  );
  const latestOf = new Map(latest.map((one) => [one.id, one.latest_version_id]));
  const versions = await versionsOf(db, [
    ...[...runs.values()].flatMap((jobs) => jobs.map((job) => job.design_version_id)),
    ...latestOf.values(),
  ]);
  return products.map((product) => {
    const jobs = groupedBy(runs.get(product.id) ?? [], (job) => job.placement_id);
    const own = product.placements.map((placement) => {
      const last = jobs.get(placement.id) ?? [];
      if (last.length > 0) return meanRun(placement, last, versions);
      return ownRun(placement, versions.get(latestOf.get(placement.designId ?? "") ?? ""));
    });
    return {
      product,
      cost: costedPiece(ground, product, own),
      ofPieces: Math.max(0, ...[...jobs.values()].map((group) => group.length)),
    };
  });
}

type Placement = Product["placements"][number];
type Versions = Awaited<ReturnType<typeof versionsOf>>;

const plain = (placement: Placement): Omit<RunSewing, "sewing" | "of"> => ({
  placementId: placement.id,
  placementName: placement.name,
  hoopId: placement.hoopId,
  machineIds: placement.machineIds,
  sewn: null,
  hoopS: null,
  unhoopS: null,
  finishS: null,
});

function meanRun(placement: Placement, jobs: readonly JobBrief[], versions: Versions): RunSewing {
  const all = jobs.flatMap((job) => runSewing(job, versions, new Map()).sewing ?? []);
  return { ...plain(placement), sewing: meanSewing(all), of: all.length };
}

/** Before anything was ordered: the product's own design, where no text is sewn with it. */
function ownRun(placement: Placement, version: ReturnType<Versions["get"]>): RunSewing {
  const threadIds = version ? (JSON.parse(version.thread_ids) as (string | null)[]) : [];
  return {
    ...plain(placement),
    sewing: version && placement.lettering === null ? sewingOf(version, threadIds) : null,
    of: 1,
  };
}

/** The table of products: each sold alone, so that parcel and the channel's fixed fee fall on it whole. */
export async function productTable(
  db: Store["db"],
  ground: CostGround,
  channelId: string,
): Promise<Answer<"productCosts">> {
  const name = ground.settings.channels.find((one) => one.id === channelId)?.name ?? "";
  const { selling, channel, missing } = sellingBy(ground, name);
  const parcel = parcelCost(ground);
  const costed = await costedProducts(db, ground);
  return {
    selling,
    channel: channel?.id ?? null,
    parcelCents: parcel.parcel.totalCents,
    products: costed.map(({ product, cost, ofPieces }) => {
      const totalCents = cost.totalCents + parcel.parcel.totalCents;
      const left = earned(product.priceCents, totalCents, selling);
      const asked = missingOf([cost.missing, parcel.missing, missing]);
      const handS = cost.handS + parcel.handS;
      const perHour = (seconds: number) =>
        asked.length > 0 || seconds === 0 ? null : Math.round((left.profitCents * 3600) / seconds);
      return {
        productId: product.id,
        code: product.code,
        name: product.name,
        kind: product.kind,
        lines: [...cost.lines, ...parcel.parcel.lines],
        totalCents,
        machineS: Math.round(cost.machineS),
        handS: Math.round(handS),
        missing: asked,
        earned: left,
        profitPerMachineHour: perHour(cost.machineS),
        profitPerHandHour: perHour(handS),
        ofPieces,
      };
    }),
  };
}
