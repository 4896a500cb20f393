import { careAnswers } from "./care";
import type { Context } from "./context";
import { costAnswers } from "./costs";
import { makeDemo } from "./demo";
import { makingAnswers } from "./design-making";
import { namesAnswers } from "./design-making-names";
import { endMakingThreads } from "./design-making-threads";
import { mendingAnswers } from "./design-mending";
import { designAnswers } from "./designs";
import { floorAnswers } from "./floor";
import { importAnswers, stopImports } from "./imports";
import { orderAnswers } from "./orders";
import { paperAnswers } from "./paper";
import { placingAnswers } from "./placing";
import { createPlanning, type Planning } from "./plans";
import type { OnProgress } from "./setup";
import { createWhatIf } from "./what-if";

/** The plan follows a change at once; while changes follow one another, as in an import, they make one new plan. */
const AT_ONCE_MS = 40;
const QUIET_MS = 1_500;

/** The answers of the groups beside the studio and its lists, and what must end with the program. */
export function joinedAnswers(
  context: Context,
  options: { readonly threads: number; readonly byItself: boolean },
) {
  const planning = createPlanning(context, { threads: options.threads });
  const whatIf = createWhatIf(context, options);
  const answers = {
    ...designAnswers(context),
    ...mendingAnswers(context),
    ...makingAnswers(context),
    ...namesAnswers(context),
    ...importAnswers(context),
    ...orderAnswers(context),
    ...planning.answers,
    ...floorAnswers(context, planning.inForce),
    ...careAnswers(context, planning),
    ...whatIf.answers,
    ...paperAnswers(context, planning.view),
    ...costAnswers(context),
    ...placingAnswers(context, async (jobId) => {
      const runs = (await planning.inForce())?.runs ?? [];
      return runs.find((run) => run.job === jobId)?.machine ?? null;
    }),
  };
  const stopFollowing = options.byItself ? followChanges(context, planning) : () => Promise.resolve();
  return {
    answers,
    makeDemo: (onProgress: OnProgress): Promise<void> => makeDemo(context, { onProgress }),
    async close(): Promise<void> {
      await stopImports(context);
      await stopFollowing();
      await whatIf.close();
      await planning.close();
      await endMakingThreads(context);
    },
  };
}

/** Lets the planning look at what changed once it has been quiet for a moment; one look at a time. */
function followChanges(context: Context, planning: Planning): () => Promise<void> {
  const waiting = new Set<string>();
  let timer: NodeJS.Timeout | undefined;
  let looking: Promise<void> = Promise.resolve();
  let lookedMs = -Infinity;
  const look = () => {
    const lists = [...waiting];
    waiting.clear();
    lookedMs = performance.now();
    looking = looking
      .then(() => planning.onChanged(lists))
      .catch((error: unknown) => context.log.error("The plan could not follow a change", { error }));
  };
  const stop = context.listen((event) => {
    // What the planner itself keeps is no change to follow.
    if (event.topic !== "changed" || event.what.every((list) => list === "plan")) return;
    event.what.forEach((list) => waiting.add(list));
    clearTimeout(timer);
    timer = setTimeout(look, performance.now() - lookedMs > QUIET_MS ? AT_ONCE_MS : QUIET_MS);
    timer.unref();
  });
  return async () => {
    stop();
    clearTimeout(timer);
    await looking;
  };
}
