import { assign, type Move, someJob } from "./move";

/**
 * A handful of jobs with like colours is taken out and each is put back beside one of those most like it: ruin and
 * recreate (G. Schrimpf, J. Schneider, H. Stamm-Wilbrandt, G. Dueck, J. Computational Physics 159 (2000) 139–171).
 */
export const recreate: Move = {
  name: "recreate",
  share: 4,
  apply(candidate, { compiled, alike }, chance) {
    const { order, machine } = candidate;
    const at = someJob(order, compiled.jobs, chance);
    if (at < 0) return false;
    const centre = order[at]!;
    const many = 2 + chance.below(Math.min(6, 2 + (order.length >> 3)));
    const out = new Set<number>([centre]);
    for (const job of alike[centre]!) {
      if (out.size >= many) break;
      if (chance.below(2) === 0) out.add(job);
    }
    const rest: number[] = [];
    for (const item of order) if (!out.has(item)) rest.push(item);
    for (const job of out) {
      if (!order.includes(job)) continue;
      const friends = alike[job]!;
      let to = chance.below(rest.length + 1);
      for (let tries = 0; tries < 6 && friends.length > 0; tries++) {
        const share = chance.next();
        const friend = friends[Math.floor(share * share * friends.length)]!;
        const place = rest.indexOf(friend);
        if (place < 0 || compiled.cuts[job * compiled.machines + machine[friend]!]!.length === 0) continue;
        assign(candidate, job, machine[friend]!);
        to = place + chance.below(2);
        break;
      }
      rest.splice(to, 0, job);
    }
    order.set(rest);
    return true;
  },
};
