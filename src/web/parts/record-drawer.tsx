import { Button, Drawer } from "@mantine/core";
import { useMediaQuery } from "@mantine/hooks";
import { useBlocker } from "@tanstack/react-router";
import { type FormEvent, type ReactNode, useEffect, useLayoutEffect, useRef } from "react";
import type { Noun, RowName } from "#contract";
import { useAnswer } from "../asking";
import { Conflict, type FieldWords } from "./conflict";
import { Note } from "./form";
import { type BodyOf, type RecordForm, type RecordOf, useArchiving, useRecordForm } from "./record-form";
import { TroubleSheet, Waiting } from "./states";
import "./record-drawer.css";

interface DrawerProps<N extends Noun> {
  readonly noun: N;
  /** From the address: "" is closed, "new" adds, else the record's id. */
  readonly id: string;
  readonly onClose: () => void;
  /** "thread", for "Add a thread". */
  readonly one: string;
  readonly a?: "a" | "an" | undefined;
  readonly blank: BodyOf<N>;
  /** "Thread N11 navy". */
  readonly words: (body: BodyOf<N>) => string;
  readonly fieldWords: FieldWords;
  readonly children: (form: RecordForm<BodyOf<N>>, record: RecordOf<N> | null) => ReactNode;
  readonly wide?: true | undefined;
}

/** One record at the side of its list, to be read, changed, archived. It stands in the address and asks before what was typed is thrown away. */
export function RecordDrawer<N extends Noun>(props: DrawerProps<N>) {
  const { noun, id, one, a = "a", onClose, words, wide } = props;
  const isNew = id === "new";
  const phone = useMediaQuery("(max-width: 47.99em)");
  const answer = useAnswer(noun, `${noun}.get` as RowName, { params: { id } } as never, {
    enabled: id !== "" && !isNew,
  });
  const record = (isNew ? null : (answer.data ?? null)) as RecordOf<N> | null;
  const title = isNew ? `Add ${a} ${one}` : record ? words(record as unknown as BodyOf<N>) : "…";
  // What was typed is asked about by the router's blocker, which sees every way out.
  return (
    <Drawer
      opened={id !== ""}
      onClose={onClose}
      position="right"
      size={phone ? "100%" : wide ? 760 : 560}
      title={title}
      closeButtonProps={{ "aria-label": "Close", size: "xl" }}
      overlayProps={{ backgroundOpacity: 0.25 }}
      transitionProps={{ duration: 120 }}
      classNames={{ content: "drawer", header: "drawer-head", title: "drawer-title", body: "drawer-body" }}
    >
      {id === "" ? null : isNew || record ? (
        <RecordSheet key={id} {...props} record={record} />
      ) : answer.isError ? (
        <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />
      ) : (
        <Waiting words={`Fetching the ${one}`} />
      )}
    </Drawer>
  );
}

function RecordSheet<N extends Noun>({
  noun,
  one,
  blank,
  words,
  fieldWords,
  children,
  onClose,
  record,
}: DrawerProps<N> & { readonly record: RecordOf<N> | null }) {
  const form = useRecordForm({ noun, record, blank, words });
  const archive = useArchiving(noun, words);
  const leaving = useRef(false);
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    if (!(await form.save())) return;
    leaving.current = true;
    onClose();
  };
  const putAway = async () => {
    if (!record || !(await archive(record))) return;
    leaving.current = true;
    onClose();
  };
  return (
    <FormSheet
      form={form}
      what={record ? words(record as unknown as BodyOf<N>) : `The new ${one}`}
      fieldWords={fieldWords}
      leaving={leaving}
      onSubmit={(event) => void submit(event)}
      onCancel={onClose}
      saveWords={record ? "Save" : `Add ${one}`}
      beginsTyping={record === null}
      extra={
        record && (
          <Button size="md" variant="subtle" className="drawer-archive" onClick={() => void putAway()}>
            {record.archived ? "Take back from the archive" : "Archive"}
          </Button>
        )
      }
    >
      {record?.archived && (
        <Note>
          This is in the archive: it is not offered for new work, and whatever points to it still does.
        </Note>
      )}
      {children(form, record)}
    </FormSheet>
  );
}

interface FormSheetProps<B extends object> {
  readonly form: RecordForm<B>;
  readonly what: string;
  readonly fieldWords: FieldWords;
  readonly leaving: { current: boolean };
  readonly onSubmit: (event: FormEvent) => void;
  readonly onCancel?: () => void;
  readonly saveWords: string;
  readonly extra?: ReactNode;
  /** Whether its first field is to be typed into at once. */
  readonly beginsTyping?: boolean;
  readonly children: ReactNode;
}

/** A form with its foot: save, cancel, what went wrong, what somebody else changed, and the question before typed words are lost. */
export function FormSheet<B extends object>({
  form,
  what,
  fieldWords,
  leaving,
  onSubmit,
  onCancel,
  saveWords,
  extra,
  beginsTyping = false,
  children,
}: FormSheetProps<B>) {
  const sheet = useRef<HTMLFormElement>(null);
  const blocker = useBlocker({
    shouldBlockFn: () => form.dirty && !leaving.current,
    enableBeforeUnload: () => form.dirty && !leaving.current,
    withResolver: true,
  });
  const wrong = Object.keys(form.errors).length;
  useLayoutEffect(() => {
    // With a keyboard at hand typing begins at once; under a finger no keyboard slides over the form unasked.
    if (beginsTyping && window.matchMedia("(pointer: fine)").matches)
      sheet.current?.querySelector(".form-fields :is(input, select)")?.setAttribute("data-autofocus", "true");
  }, [beginsTyping]);
  useEffect(() => {
    // The first field that was not taken is where the eye goes.
    if (wrong > 0) sheet.current?.querySelector<HTMLElement>("[aria-invalid=true]")?.focus();
  }, [wrong]);
  const loose = Object.entries(form.errors).filter(([path]) => path === "");
  return (
    <form ref={sheet} className="form-sheet" onSubmit={onSubmit} noValidate>
      <div className="form-fields">
        {form.clash && (
          <Conflict
            key={form.clash.version}
            clash={form.clash}
            what={what}
            words={fieldWords}
            onSettle={form.settle}
            onTakeTheirs={form.takeTheirs}
          />
        )}
        {children}
      </div>
      <div className="form-foot">
        {blocker.status === "blocked" && (
          <div className="form-ask" role="alertdialog" aria-label="Throw away what you typed?">
            <p>
              <b>What you typed is not saved yet.</b>
            </p>
            <Button size="md" autoFocus onClick={() => blocker.reset()}>
              Keep typing
            </Button>
            <Button size="md" variant="default" onClick={() => blocker.proceed()}>
              Throw it away
            </Button>
          </div>
        )}
        {(form.trouble || wrong > 0) && (
          <div role="alert" className="form-note form-note-late">
            <p>
              <b>
                {form.trouble
                  ? form.trouble.problem.detail
                  : `${wrong === 1 ? "One field needs" : `${wrong} fields need`} another look. Nothing was saved yet.`}
              </b>
            </p>
            {form.trouble && <p>{form.trouble.problem.advice}</p>}
            {form.trouble && wrong > 0 && (
              <ul>
                {Object.entries(form.errors).map(([path, words]) => (
                  <li key={path}>
                    {path ? `${fieldWords.label(path)}: ` : ""}
                    {words}
                  </li>
                ))}
              </ul>
            )}
            {!form.trouble && wrong > 0 && (
              <ul>
                {Object.entries(form.errors)
                  .slice(0, 6)
                  .map(([path, words]) => (
                    <li key={path}>
                      {fieldWords.label(path)}: {words}
                    </li>
                  ))}
              </ul>
            )}
            {loose.length > 0 && !form.trouble && <p>{loose[0]![1]}</p>}
          </div>
        )}
        <div className="form-acts">
          <Button type="submit" size="md" loading={form.saving} disabled={form.clash !== null}>
            {saveWords}
          </Button>
          {onCancel && (
            <Button size="md" variant="default" onClick={onCancel}>
              Cancel
            </Button>
          )}
          {extra}
        </div>
      </div>
    </form>
  );
}
