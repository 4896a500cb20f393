import type { Compiled } from "./compile";
import type { Cover, CoverState, Rooms } from "./cover";

/**
 * Threadings, stops and finishing together, by branch and bound. A node holds the plans that end in [from, to) with
 * some colours threaded on some machines in any case, or never: they pay for ending at `from` and for the threadings
 * that machines with hours up to `to` cannot avoid. The node proven least is looked at longer, halved in time or parted
 * by one colour on one machine (the least certain in the dual), so that every plan lies in some part; the least of
 * what stands at the end bounds all.
 */
export interface Trade {
  readonly compiled: Compiled;
  readonly cover: Cover;
  readonly rooms: { at(from: number, to: number): Rooms; readonly turns: readonly number[] };
  readonly finishAt: number;
  readonly latest: number;
  /** What threadings and stops cost at least whenever all ends. */
  readonly apart: number;
}

interface Node {
  readonly from: number;
  readonly to: number;
  readonly state: CoverState;
  readonly work: number;
  /** Rounds of prices it has had. */
  readonly rounds: number;
}

/** Rounds of prices all together, and their steps: they bound the time. */
const MOST_ROUNDS = 3000;
const MOST_STEPS = 5e8;
/** Rounds at a time, and before a node is parted. */
const ROUNDS = 15;
const ENOUGH_ROUNDS = 45;
/** Rounds of a node that cannot be parted. */
const MOST_ALONE = 180;

export function tradeBound({ compiled, cover, rooms, finishAt, latest, apart }: Trade): number {
  const { cost } = compiled.problem;
  const ask = { ...cost, perLaterSecond: cost.perFinishMinute / 60 };
  let left = Math.min(MOST_ROUNDS, MOST_STEPS / (1 + cover.steps));
  const improved = (node: Node, rounds: number): Node => {
    left -= rounds;
    const work = Math.max(
      apart,
      node.work,
      cover.least(rooms.at(node.from, node.to), ask, rounds, node.state),
    );
    return { ...node, work, rounds: node.rounds + rounds };
  };
  const worth = (node: Node): number => (cost.perFinishMinute * node.from) / 60 + node.work;
  const nodes: Node[] = [];
  const cheapest = (): Node => nodes.reduce((a, b) => (worth(b) < worth(a) ? b : a));
  nodes.push(improved({ from: finishAt, to: Math.max(latest, finishAt), state: cover.fresh(), work: 0, rounds: 0 }, 2 * ROUNDS)); // prettier-ignore
  while (left > 0) {
    const node = cheapest();
    if (node.work === Infinity) break;
    const parted = inTime(node) ?? (node.rounds < ENOUGH_ROUNDS ? [] : byColour(node));
    if (parted.length === 0 && node.rounds >= MOST_ALONE) break;
    const next = parted.length > 0 ? parted : [improved(node, ROUNDS)];
    nodes.splice(nodes.indexOf(node), 1, ...next);
  }
  return worth(cheapest());

  /** Halved in time, where ending later alone would not eat up what fewer threadings save. */
  function inTime(node: Node): Node[] | null {
    if (cost.perFinishMinute === 0 || node.to - node.from < 60) return null;
    const far = (60 * Math.max(apart, node.work)) / cost.perFinishMinute / 8;
    const turn = rooms.turns.find((at) => at > node.from && at < node.to && at <= node.from + far);
    const middle = turn ?? Math.round(node.from + Math.min((node.to - node.from) / 2, Math.max(60, far)));
    const isShort = cost.perFinishMinute * (node.to - node.from) < 60 * PART_WORTH * worth(node);
    if (middle <= node.from || (turn === undefined && isShort)) return null;
    const sooner = { ...node, to: middle, state: cover.from(node.state) };
    // What the node pays for seconds after its start may be the seconds up to the middle.
    const laterWork = Math.max(apart, node.work - (cost.perFinishMinute * (middle - node.from)) / 60);
    return [improved(sooner, ROUNDS), improved({ ...node, from: middle, work: laterWork }, ROUNDS)];
  }

  /** One colour threaded on one machine, or never. */
  function byColour(node: Node): Node[] {
    return cover.divided(node.state).map((state) => improved({ ...node, state, rounds: 0 }, ROUNDS));
  }
}

/** Spans of time worth less than this part of the bound are not halved further. */
const PART_WORTH = 0.02;
