import { useQueryClient } from "@tanstack/react-query";
import { useCallback, useRef, useState } from "react";
import type { z } from "zod";
import { catalogue, type Noun, type RowName } from "#contract";
import { ask, type Given, type Told, Trouble } from "../client";
import { checkBody, errorsOfProblem, type FieldErrors } from "./field-errors";
import { type Merged, mergeThreeWays, same } from "./merge";
import { offerUndo, showTrouble } from "./notices";

export type BodyOf<N extends Noun> = z.output<(typeof catalogue)[N]["create"]["body"]>;
export type RecordOf<N extends Noun> = z.output<(typeof catalogue)[N]["get"]["output"]>;

/** A record someone changed meanwhile, laid against what is typed. */
export interface Clash<B> {
  readonly base: B;
  readonly theirs: B;
  readonly merged: Merged<B>;
  readonly version: number;
}

export interface RecordForm<B> {
  readonly value: B;
  readonly set: (patch: Partial<B>) => void;
  /** Why a field was not taken, by its dotted path. */
  readonly error: (path: string) => string | undefined;
  readonly errors: FieldErrors;
  /** What went wrong as a whole, where no field says it. */
  readonly trouble: Trouble | null;
  readonly dirty: boolean;
  readonly saving: boolean;
  readonly clash: Clash<B> | null;
  /** Goes on with the merged value over the other person's version. */
  readonly settle: (value: B) => void;
  /** Takes the record as it now stands and drops what is typed. */
  readonly takeTheirs: () => void;
  /** Saves; gives whether it is saved. */
  readonly save: () => Promise<boolean>;
}

interface Kept<B> {
  readonly body: B;
  readonly version: number | null;
}

interface FormAsked<B> {
  /** The record's fields as they were read; for a new record what it starts with. */
  readonly start: Kept<B>;
  /** The record as it stands now, when the page heard of a change; null for a new one. */
  readonly now: Kept<B> | null;
  readonly shape: z.ZodType;
  /** Gives the version that is now kept. */
  readonly send: (body: B, version: number | null) => Promise<number | null>;
  readonly readCurrent: (current: unknown) => Kept<B> | null;
}

/**
 * What is typed into a form, apart from what is kept: a live refresh never overwrites it. A record that changed
 * meanwhile is merged three ways where the changes do not meet, and shown as a clash where they do.
 */
export function useDraft<B extends object>({
  start,
  now,
  shape,
  send,
  readCurrent,
}: FormAsked<B>): RecordForm<B> {
  const [base, setBase] = useState(start);
  const [value, setValue] = useState(start.body);
  const [errors, setErrors] = useState<FieldErrors>({});
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [saving, setSaving] = useState(false);
  const [clash, setClash] = useState<Clash<B> | null>(null);
  const busy = useRef(false);
  const dirty = !same(base.body, value);

  const meet = (kept: Kept<B>) => {
    const merged = mergeThreeWays(base.body, value, kept.body);
    if (merged.clashes.length === 0 && merged.taken.length === 0) {
      setBase(kept);
      return;
    }
    setClash({ base: base.body, theirs: kept.body, merged, version: kept.version ?? 0 });
  };
  const rebase = (kept: Kept<B>) => {
    setBase(kept);
    setValue(kept.body);
    setErrors({});
    setClash(null);
  };
  // The record moved on while the form stands open: untouched it follows, touched it asks.
  if (
    now !== null &&
    now.version !== null &&
    base.version !== null &&
    now.version > base.version &&
    !saving &&
    clash?.version !== now.version
  ) {
    if (!dirty) rebase(now);
    else meet(now);
  }

  const set = useCallback((patch: Partial<B>) => {
    setValue((old) => ({ ...old, ...patch }));
    setErrors((old) =>
      Object.fromEntries(
        Object.entries(old).filter(
          ([path]) => !Object.keys(patch).some((key) => path === key || path.startsWith(`${key}.`)),
        ),
      ),
    );
  }, []);

  const save = async (): Promise<boolean> => {
    if (busy.current) return false;
    const found = checkBody(shape, value);
    setErrors(found);
    setTrouble(null);
    if (Object.keys(found).length > 0) return false;
    busy.current = true;
    setSaving(true);
    try {
      const version = await send(value, base.version);
      setBase({ body: value, version });
      return true;
    } catch (reason) {
      if (!(reason instanceof Trouble)) throw reason;
      const current = reason.problem.status === 412 ? readCurrent(reason.problem.current) : null;
      if (current) meet(current);
      else {
        setErrors(errorsOfProblem(reason.problem));
        setTrouble(reason);
      }
      return false;
    } finally {
      busy.current = false;
      setSaving(false);
    }
  };

  return {
    value,
    set,
    error: (path) => errors[path],
    errors,
    trouble,
    dirty,
    saving,
    clash,
    settle: (next) => {
      if (!clash) return;
      setBase({ body: clash.theirs, version: clash.version });
      setValue(next);
      setClash(null);
    },
    takeTheirs: () => clash && rebase({ body: clash.theirs, version: clash.version }),
    save,
  };
}

/** The fields of a record that a body carries. */
export function bodyOf<N extends Noun>(noun: N, record: RecordOf<N>): BodyOf<N> {
  const words = Object.keys(catalogue[noun].create.body.shape);
  return Object.fromEntries(
    words.map((word) => [word, (record as Record<string, unknown>)[word]]),
  ) as BodyOf<N>;
}

interface CatalogueFormAsked<N extends Noun> {
  readonly noun: N;
  /** Null adds a new record. */
  readonly record: RecordOf<N> | null;
  readonly blank: BodyOf<N>;
  /** "Thread N11 navy" for the notice. */
  readonly words: (body: BodyOf<N>) => string;
}

type AnyGiven = Given<RowName>;

/** A form over one record of the studio's lists. */
export function useRecordForm<N extends Noun>({
  noun,
  record,
  blank,
  words,
}: CatalogueFormAsked<N>): RecordForm<BodyOf<N>> {
  const queries = useQueryClient();
  const kept = record ? { body: bodyOf(noun, record), version: record.version } : null;
  return useDraft<BodyOf<N>>({
    start: kept ?? { body: blank, version: null },
    now: kept,
    shape: catalogue[noun].create.body,
    readCurrent: (current) => {
      const parsed = catalogue[noun].get.output.safeParse(current);
      return parsed.success
        ? {
            body: bodyOf(noun, parsed.data as RecordOf<N>),
            version: (parsed.data as { version: number }).version,
          }
        : null;
    },
    send: async (body, version) => {
      const told = (await (record
        ? ask(
            `${noun}.change` as RowName,
            { params: { id: record.id }, body, version } as unknown as AnyGiven,
          )
        : ask(`${noun}.create` as RowName, { body } as unknown as AnyGiven))) as Told<unknown>;
      void queries.invalidateQueries({ queryKey: [noun] });
      offerUndo(`${words(body)} ${record ? "changed" : "added"}.`, told.changeId);
      return told.version;
    },
  });
}

/** Archives a record, or takes it back from the archive. */
export function useArchiving<N extends Noun>(noun: N, words: (body: BodyOf<N>) => string) {
  const queries = useQueryClient();
  return async (record: RecordOf<N>): Promise<boolean> => {
    const act = record.archived ? "unarchive" : "archive";
    try {
      const told = (await ask(
        `${noun}.${act}` as RowName,
        { params: { id: record.id }, version: record.version } as unknown as AnyGiven,
      )) as Told<unknown>;
      offerUndo(
        `${words(record as unknown as BodyOf<N>)} ${record.archived ? "taken back from the archive" : "archived"}.`,
        told.changeId,
      );
      return true;
    } catch (reason) {
      showTrouble(reason);
      return false;
    } finally {
      void queries.invalidateQueries({ queryKey: [noun] });
    }
  };
}
