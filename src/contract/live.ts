import { z } from "zod";
import { importRecord } from "./imports";
import { planningRun } from "./plans";
import { status } from "./studio";

/** What travels on /api/live: small notes that something changed, so that open pages ask again, and progress. */
export const liveEvent = z.discriminatedUnion("topic", [
  z.object({
    topic: z.literal("changed"),
    /** Which lists changed: orders, pieces, designs, plan, studio, machines … */ what: z.array(z.string()),
    ids: z.array(z.string()),
  }),
  z.object({ topic: z.literal("planning"), run: planningRun }),
  z.object({ topic: z.literal("import"), import: importRecord }),
  z.object({ topic: z.literal("status"), status }),
]);
export type LiveEvent = z.output<typeof liveEvent>;
