import { NEW_PIECE, type Season, type SimulatedShop } from "#core/floor";
import type { ProductShare } from "./season";

/** Money of a played season: its minutes at what an hour costs, its goods, what its pieces bring. Pure. */

/** A product as money, for one piece. Minor units, not rounded. */
export interface ProductPrice {
  readonly name: string;
  /** What is left of the price after tax and the channel's fees. */
  readonly netCents: number;
  /** Blank, cloth, thread, bobbin, backing, topping, and its share of a parcel with the packing. */
  readonly goodsCents: number;
  /** The straight-stitch machine while it is sewn by hand. */
  readonly sewingCents: number;
}

export interface Prices {
  readonly products: readonly ProductPrice[];
  /** Those of new products, by the place of their cards. */
  readonly added: Readonly<Record<number, ProductPrice>>;
  /** An hour's wage. */
  readonly handCents: number;
  /** Hours paid for each hour of work: the allowance. */
  readonly paidShare: number;
  /** An hour of sewing: loss of worth, service, repair, energy; by machine. */
  readonly machineCents: Readonly<Record<string, number>>;
  readonly overhead: {
    readonly key: "per-piece" | "per-machine-hour" | "per-hand-hour" | "share-of-cost";
    readonly rate: number;
  } | null;
}

/** Of the counted days, minor units; overhead as its key gives it. */
export interface MoneyPlayed {
  /** Pieces that came in these days. */
  readonly came: number;
  /** Pieces that were done in these days: what they brought and took stands here. */
  readonly pieces: number;
  readonly netCents: number;
  readonly goodsCents: number;
  readonly machineCents: number;
  readonly handCents: number;
  readonly overheadCents: number;
}

interface PlayedAsked {
  readonly shop: SimulatedShop;
  readonly played: Season;
  readonly counted: readonly [fromS: number, untilS: number];
  readonly products: ReadonlyMap<string, ProductShare>;
}

/** What a piece of an order that was copied for more orders is: what the first was. */
const ownName = (id: string): string => id.replace(/ \+\d+$/, "");

function priceOf(
  { products: all, added }: Prices,
  products: PlayedAsked["products"],
  id: string,
): { readonly price: ProductPrice; readonly share: number } | null {
  if (id.startsWith(NEW_PIECE)) {
    const price = added[Number(id.slice(NEW_PIECE.length).split(" ", 1)[0])];
    return price ? { price, share: 1 } : null;
  }
  const found = products.get(ownName(id));
  return found ? { price: all[found.product]!, share: found.share } : null;
}

/** A new machine's name is the one it is like, "new" and a number: its hour costs as much. */
export const newMachineId = (likeId: string, nth: number | string): string => `${likeId} new ${nth}`;

const machineCentsOf = ({ machineCents }: Prices, id: string): number =>
  machineCents[id] ?? machineCents[id.replace(/ new .*$/, "")] ?? 0;

/**
 * Goods of spoiled pieces are used up again: by their number, at the mean of those done.
 */
export function moneyPlayed(prices: Prices, { shop, played, counted, products }: PlayedAsked): MoneyPlayed {
  const [fromS, untilS] = counted;
  const sum = { came: 0, pieces: 0, net: 0, goods: 0, sewing: 0 };
  const isWithin = (time: number) => time >= fromS && time < untilS;
  const take = (id: string, releaseAt: number, end: number): void => {
    const of = priceOf(prices, products, id);
    if (of === null) return;
    if (isWithin(releaseAt)) sum.came += of.share;
    if (!isWithin(end)) return;
    sum.pieces += of.share;
    sum.net += of.share * of.price.netCents;
    sum.goods += of.share * of.price.goodsCents;
    sum.sewing += of.share * of.price.sewingCents;
  };
  const { jobs, chores } = shop.problem;
  jobs.forEach(({ id, releaseAt }, at) => take(id, releaseAt, played.endOf[at]!));
  chores.forEach(({ id, releaseAt }, at) => take(id, releaseAt, played.choreEndOf[at]!));
  const runs = played.machines.reduce((all, one) => all + one.runs, 0);
  const spoiled = runs === 0 ? 0 : played.spoiled / runs;
  const machineS = played.machines.reduce((all, { seconds }) => all + seconds.sewing, 0);
  const handHours = (prices.paidShare / 3600) * handSecondsOf(played);
  const machineCents = played.machines.reduce(
    (all, { id, seconds }) => all + (seconds.sewing / 3600) * machineCentsOf(prices, id),
    sum.sewing,
  );
  const handCents = handHours * prices.handCents;
  const goodsCents = sum.goods * (1 + spoiled);
  const { overhead } = prices;
  const by = {
    "per-piece": sum.pieces,
    "per-machine-hour": machineS / 3600,
    "per-hand-hour": handHours,
    "share-of-cost": machineCents + handCents + goodsCents,
  };
  return {
    came: sum.came,
    pieces: sum.pieces,
    netCents: sum.net,
    goodsCents,
    machineCents,
    handCents,
    overheadCents: overhead === null ? 0 : overhead.rate * by[overhead.key],
  };
}

const handSecondsOf = ({ hands }: Season): number =>
  hands.reduce((all, { seconds }) => all + Object.values(seconds).reduce((a, b) => a + b, 0), 0);

/** Cents of the counted pieces: those done stand for those that came. */
const share = (money: MoneyPlayed): number => (money.pieces === 0 ? 0 : money.came / money.pieces);
const timeAndGoods = ({ goodsCents, machineCents, handCents }: MoneyPlayed): number =>
  goodsCents + machineCents + handCents;

/** What the shop earns on the pieces of the counted days, before overhead. */
export const earnedBeforeOverhead = (money: MoneyPlayed): number =>
  share(money) * (money.netCents - timeAndGoods(money));

/** Overhead stays what it is today, whatever else changes; `fixedCents` is what the changes cost in these days. */
export const costOfPiece = (money: MoneyPlayed, today: MoneyPlayed, fixedCents: number): number =>
  money.came === 0
    ? 0
    : (share(money) * timeAndGoods(money) + share(today) * today.overheadCents + fixedCents) / money.came;
