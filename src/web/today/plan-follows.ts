import { useEffect } from "react";
import { hear } from "../live";
import { tellFollows } from "../parts/notices";

/** Says under the notice of a change what it does to the plan in force: that the plan follows, and how many pieces that touches. */
export function usePlanFollows(): void {
  useEffect(() => {
    let told = 0;
    return hear((event) => {
      if (event.topic !== "planning" || !event.run.byItself || event.run.state !== "running") return;
      // Once for each planning: further notes of the same one tell of its progress.
      if (event.run.startedAtMs === null || event.run.startedAtMs === told) return;
      told = event.run.startedAtMs;
      const { touches } = event.run;
      tellFollows(
        touches === 1
          ? "The plan follows; 1 piece of it is touched."
          : `The plan follows; ${touches} pieces of it are touched.`,
      );
    });
  }, []);
}
