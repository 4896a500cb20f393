import { type Finding, Refusal } from "#core/base";
import { checkDesign, type DesignReport, designReport, readMachineFile, type Stitches } from "#core/stitch";
import { startThread } from "./threads";

/** A machine file read, checked and measured. */
export interface DesignRead {
  readonly stitches: Stitches;
  /** Of the reader and the checks together. */
  readonly findings: readonly Finding[];
  readonly report: DesignReport;
}

/** Reads on the calling thread; throws the reader's refusals. */
export function readDesign(bytes: Uint8Array): DesignRead {
  const file = readMachineFile(bytes);
  const findings = [...file.findings, ...checkDesign(file.stitches)];
  return { stitches: file.stitches, findings, report: designReport(file.stitches, findings) };
}

/** About 60,000 records: a few hundredths of a second. Larger files would hold up everybody else's requests. */
const LARGEST_AT_ONCE_BYTES = 180_000;

/** What the thread answers with: a design, or a refusal in parts, since an error's class does not travel. */
export type ThreadAnswer =
  | { readonly read: DesignRead }
  | { readonly refused: Pick<Refusal, "code" | "kind" | "message" | "details"> };

/** Reads a machine file of any size without holding up the program: large ones in a thread of their own. */
export function readDesignAside(bytes: Uint8Array): Promise<DesignRead> {
  if (bytes.length <= LARGEST_AT_ONCE_BYTES) return new Promise((resolve) => resolve(readDesign(bytes)));
  return new Promise((resolve, reject) => {
    const thread = startThread("design-worker", bytes, { resourceLimits: { maxOldGenerationSizeMb: 1024 } });
    thread.once("message", (answer: ThreadAnswer) => {
      void thread.terminate();
      if ("read" in answer) resolve(answer.read);
      else
        reject(
          new Refusal(
            answer.refused.code,
            answer.refused.kind,
            answer.refused.message,
            answer.refused.details,
          ),
        );
    });
    thread.once("error", reject);
    thread.once("exit", (code) => reject(new Error(`The thread that reads designs ended with ${code}`)));
  });
}
