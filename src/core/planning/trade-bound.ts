import type { Compiled } from "./compile";
import type { Cover, CoverState, MachineRoom } from "./cover";

/**
 * Threadings, stops and finishing together, by branch and bound. A node holds the plans that end in [from, to) with
 * some jobs on machines of their own: they pay for ending at `from` and for the threadings that machines with hours up
 * to `to` cannot avoid. The node proven least is parted, in time or by one job's machine, so that every plan lies in one
 * of its parts; the least of what stands at the end bounds all.
 */
export interface Trade {
  readonly compiled: Compiled;
  readonly cover: Cover;
  readonly roomAt: (endAt: number) => MachineRoom[];
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
}

/** Parts a node is divided into, all together: at most; jobs × machines × sets × rounds bound the time. */
const MOST_PARTS = 400;
const MOST_STEPS = 6e7;
const ROUNDS = 50;
const PART_ROUNDS = 30;

export function tradeBound({ compiled, cover, roomAt, finishAt, latest, apart }: Trade): number {
  const { cost } = compiled.problem;
  const nodeOf = (from: number, to: number, state: CoverState, known: number, rounds: number): Node => {
    const own = cover.from(state);
    const work = Math.max(apart, known, cover.least(roomAt(to), cost, rounds, own));
    return { from, to, state: own, work };
  };
  const worth = (node: Node): number => (cost.perFinishMinute * node.from) / 60 + node.work;
  const nodes = [nodeOf(finishAt, Math.max(latest, finishAt), cover.fresh(), 0, ROUNDS + 10)];
  const cheapest = (): Node => nodes.reduce((a, b) => (worth(b) < worth(a) ? b : a));
  const most = Math.min(MOST_PARTS, MOST_STEPS / (1 + cover.steps * PART_ROUNDS));
  for (let parts = 0; parts < most;) {
    const node = cheapest();
    if (node.work === Infinity) break;
    const children = inTime(node) ?? byJob(node);
    if (children.length === 0) break;
    nodes.splice(nodes.indexOf(node), 1, ...children);
    parts += children.length;
  }
  return worth(cheapest());

  /** Halved in time, where ending later alone would not eat up what fewer threadings save. */
  function inTime(node: Node): Node[] | null {
    if (cost.perFinishMinute === 0 || node.to - node.from < 60) return null;
    const far = (60 * Math.max(apart, node.work)) / cost.perFinishMinute / 8;
    const middle = Math.round(node.from + Math.min((node.to - node.from) / 2, Math.max(60, far)));
    if (middle <= node.from || cost.perFinishMinute * (node.to - node.from) < 60 * PART_WORTH * worth(node))
      return null;
    return [nodeOf(node.from, middle, node.state, node.work, ROUNDS), { ...node, from: middle }];
  }

  /** One job on each of its machines in turn. */
  function byJob(node: Node): Node[] {
    const split = cover.divided(node.state);
    return split.map((state) => nodeOf(node.from, node.to, state, node.work, PART_ROUNDS));
  }
}

/** Spans of time worth less than this part of the bound are not halved further. */
const PART_WORTH = 0.001;
