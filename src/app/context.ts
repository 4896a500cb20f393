import type { Chance } from "#core/base";
import type { Answered, Asked, LiveEvent, RowName, Rows } from "#contract";
import type { Store } from "#store";

/** What every answer may use. Clock, chance and log come in here and nowhere else. */
export interface Context {
  readonly store: Store;
  readonly nowMs: () => number;
  /** A new id: prefix, then time-ordered random letters, such as pc_01j9…. */
  readonly newId: (prefix: string) => string;
  readonly chance: Chance;
  readonly log: {
    info(message: string, detail?: object): void;
    warn(message: string, detail?: object): void;
    error(message: string, detail?: object): void;
  };
  /** Tells open pages. */
  readonly tell: (event: LiveEvent) => void;
  /** Hears what open pages are told; the function it gives back ends that. */
  readonly listen: (listener: (event: LiveEvent) => void) => () => void;
}

/** Who asks, and what came with the request beside its body. */
export interface Call {
  /** "This computer", or the name of the tablet or phone. */
  readonly who: string;
  /** The version of If-Match; null when none was sent (the http layer has refused already where the row needs one). */
  readonly ifMatch: number | null;
  /** The origin the caller uses to reach the program, such as http://127.0.0.1:4777: for feeds. */
  readonly origin: string;
  /** The origin a phone of the studio uses to reach the program, for QR codes; the caller's own where phones are not let in. */
  readonly phoneOrigin: string;
  /** Tells what goes into the answer's headers: the record's version (ETag) and the change that can be undone. */
  readonly note: (about: { version?: number; changeId?: string | null }) => void;
  readonly signal: AbortSignal;
}

export type Answers = {
  readonly [N in RowName]: (asked: Asked<Rows[N]>, call: Call) => Promise<Answered<Rows[N]>>;
};
