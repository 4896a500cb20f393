import { needleLives, type NeedleChanged, type NeedleUse } from "#core/care";
import type { Run } from "#core/floor";
import { localTime } from "#core/shop";
import type { Answers, Context } from "../context";
import { usedBy } from "../floor/following";
import { runOfRow } from "../floor/rows";
import { studioOf } from "../records";
import { refuseApp } from "../refusals";

/**
 * How long the studio's own needles have lasted, in hours of sewing: those changed because they were worn or struck
 * failed; those changed for another reason, and those still in, were sound so far. A needle that was in before
 * anything was noted is left out: nobody knows its hours.
 */

/** So far back runs are looked at. */
const DAYS_BACK = 730;

export function needleLifeAnswers({ store, nowMs }: Context): Pick<Answers, "needleLives"> {
  const { db } = store;
  return {
    needleLives: async () => {
      const studio = await studioOf(db);
      if (!studio) throw refuseApp("not-set-up", "There is no studio whose needles could be counted.");
      const zone = studio.body.timeZone;
      const sinceMs = nowMs() - DAYS_BACK * 86_400_000;
      const [registers, rows] = await Promise.all([
        db
          .selectFrom("floor_registers")
          .selectAll()
          .where("kind", "=", "needle-changed")
          .where("at_ms", ">=", sinceMs)
          .orderBy("at_ms")
          .execute(),
        db
          .selectFrom("floor_runs")
          .select("run")
          .where("ended_at_ms", ">=", sinceMs)
          .where("machine_id", "is not", null)
          .orderBy("ended_at_ms")
          .execute(),
      ]);
      if (registers.length === 0) return { failedHours: [], soundHours: [] };
      const changes = registers.map((row): NeedleChanged => {
        const cut = row.subject.lastIndexOf("/");
        return {
          machineId: row.subject.slice(0, cut),
          needle: Number(row.subject.slice(cut + 1)),
          atMs: row.at_ms,
          day: localTime(zone, row.at_ms).date,
          why: (JSON.parse(row.value) as { why: NeedleChanged["why"] }).why,
        };
      });
      const uses = rows.map(runOfRow).flatMap((run) => usesOf(run, zone));
      const known = needleLives({ uses, changes }).filter((life) => life.from !== null && life.runS > 0);
      const hours = (failed: boolean) =>
        known
          .filter((life) => (life.why === "worn" || life.why === "struck") === failed)
          .map((life) => life.runS / 3600);
      return { failedHours: hours(true), soundHours: hours(false) };
    },
  };
}

/** What each needle sewed in a run, its share of the run's time by stitches. */
function usesOf(run: Run, zone: string): NeedleUse[] {
  const whole = Math.max(1, run.facts?.stitches ?? 1);
  const atMs = run.endedAtMs!;
  const day = localTime(zone, atMs).date;
  return [...usedBy(run).needles].map(([key, stitches]) => {
    const cut = key.lastIndexOf("/");
    return {
      machineId: key.slice(0, cut),
      needle: Number(key.slice(cut + 1)),
      atMs,
      day,
      runS: (run.sewedMs / 1000) * (stitches / whole),
      stitches,
      breaks: 0,
    };
  });
}
