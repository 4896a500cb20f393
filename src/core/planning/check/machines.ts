import { type Court, fault, type Occupied } from "./court";

/** Things that take time must not share a moment; an instant hurts nobody. */
export function apart(court: Court, occupied: readonly Occupied[], code: string, who: string): void {
  const lasting = occupied.filter((one) => one.end > one.start).sort((a, b) => a.start - b.start);
  let before: Occupied | null = null;
  for (const one of lasting) {
    if (before && one.start < before.end)
      fault(
        court,
        code,
        `${who}: ${one.what} (${one.start}–${one.end}) overlaps ${before.what} (${before.start}–${before.end}).`,
      );
    if (!before || one.end > before.end) before = one;
  }
}

/** Nothing happens on a machine that is down. */
export function nothingWhileDown(court: Court): void {
  for (const machine of court.problem.machines) {
    for (const [from, to] of machine.down) {
      for (const one of court.happenings.get(machine.id) ?? []) {
        if (one.start < to && from < one.end)
          fault(
            court,
            "while-down",
            `${one.what} (${one.start}–${one.end}) happens while ${machine.id} is down (${from}–${to}).`,
          );
      }
    }
  }
}

/** Played through run by run: the needle of each part holds its colour while it is sewn. */
export function needlesHoldColours(court: Court): void {
  for (const machine of court.problem.machines) {
    const on = [...machine.threaded];
    const runs = [...(court.threadingsOf.get(machine.id) ?? [])].sort(
      (a, b) => a.start - b.start || a.end - b.end,
    );
    for (const { run, perStretch } of runs) {
      const job = court.jobs.get(run.job)!;
      run.stretches.forEach((stretch, index) => {
        for (const task of perStretch[index]!) on[(task.needle ?? 0) - 1] = task.colour ?? null;
        for (let part = stretch.from; part <= Math.min(stretch.to, job.parts.length - 1); part++) {
          const needle = run.needles[part] ?? 0;
          const holds = on[needle - 1] ?? null;
          const colour = job.parts[part]!.colour;
          if (holds !== colour)
            fault(
              court,
              "wrong-colour",
              `Part ${part + 1} of job ${job.id} needs ${colour} on needle ${needle} of ${machine.id}, which holds ${holds ?? "nothing"}.`,
            );
        }
      });
    }
  }
}
