import { Button, Progress } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { type FormEvent, useEffect, useState } from "react";
import { rows, type shapes } from "#contract";
import { ask, Trouble } from "../client";
import { Note, TextField } from "../parts/form";
import { checkBody, errorsOfProblem, type FieldErrors } from "../parts/field-errors";
import { showTrouble } from "../parts/notices";
import { type Basics, BasicFields } from "./basics";
import { guessFrom } from "./guess";
import { StartPicture } from "./picture";
import "./start.css";

/** The first start: an empty data folder, and two ways to go on. */
export function StartPage({ status }: { readonly status: shapes.Status }) {
  const [own, setOwn] = useState(false);
  useEffect(() => {
    document.title = "Welcome · Spoolwright";
  }, []);
  return (
    <main id="main" className="start">
      <StartPicture />
      <div className="start-words">
        {status.state === "making-demo" ? (
          <MakingDemo status={status} />
        ) : own ? (
          <OwnStudio onBack={() => setOwn(false)} />
        ) : (
          <TwoWays status={status} onOwn={() => setOwn(true)} />
        )}
      </div>
    </main>
  );
}

function TwoWays({ status, onOwn }: { readonly status: shapes.Status; readonly onOwn: () => void }) {
  const queries = useQueryClient();
  const [asking, setAsking] = useState(false);
  const demo = async () => {
    setAsking(true);
    try {
      const told = await ask("setUpDemo", {});
      queries.setQueriesData({ queryKey: ["status"] }, told.value);
    } catch (reason) {
      showTrouble(reason);
      void queries.invalidateQueries({ queryKey: ["status"] });
    } finally {
      setAsking(false);
    }
  };
  return (
    <>
      <p className="start-over">Spoolwright</p>
      <h1>From a pile of orders to the day’s plan</h1>
      <p className="start-lead">
        What goes on which machine next, in which hoop, with which threads on which needles, so that
        everything ships on time. All of it stays on this computer.
      </p>
      {status.progress && (
        <Note kind="late">
          <p role="alert">{status.progress.doing}</p>
        </Note>
      )}
      <div className="start-ways">
        <section className="start-way sheet" aria-labelledby="way-own">
          <h2 id="way-own">Your own studio</h2>
          <p className="quiet">
            Name, place and paper now; machines, threads and products one after another, with a list that
            shows what comes next.
          </p>
          <Button size="lg" onClick={onOwn}>
            Set up my studio
          </Button>
        </section>
        <section className="start-way sheet" aria-labelledby="way-demo">
          <h2 id="way-demo">A studio to look round</h2>
          <p className="quiet">
            Ninepenny Quay by the sea, invented: five machines, three pairs of hands, sixty open orders and a
            season behind them.
          </p>
          <Button size="lg" variant="default" loading={asking} onClick={() => void demo()}>
            Look round the demo
          </Button>
        </section>
      </div>
      <p className="quiet start-note">
        One data folder holds one studio. To have both, start the program once more with another folder.
      </p>
    </>
  );
}

function MakingDemo({ status }: { readonly status: shapes.Status }) {
  const queries = useQueryClient();
  // The live events tell how far it is; asking now and then covers a stream that broke.
  useEffect(() => {
    const every = window.setInterval(() => void queries.invalidateQueries({ queryKey: ["status"] }), 2000);
    return () => window.clearInterval(every);
  }, [queries]);
  const percent = Math.round(100 * (status.progress?.share ?? 0));
  return (
    <>
      <h1>Ninepenny Quay opens its door</h1>
      <p className="start-lead">
        The demo studio is being made: its designs are really stitched, its orders really taken in.
      </p>
      <div className="start-progress">
        <Progress.Root size={18} radius="xl">
          <Progress.Section
            value={percent}
            aria-label="How much of the demo studio is made"
            className="start-progress-thread"
          />
        </Progress.Root>
        <p role="status">
          <b>{percent} %</b> {status.progress?.doing ?? "Beginning"} …
        </p>
      </div>
    </>
  );
}

interface Setup extends Basics {
  name: string;
}

function OwnStudio({ onBack }: { readonly onBack: () => void }) {
  const queries = useQueryClient();
  const [setup, setSetup] = useState<Setup>(() => ({
    name: "",
    ...guessFrom(navigator.language, Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC"),
  }));
  const [errors, setErrors] = useState<FieldErrors>({});
  const [sending, setSending] = useState(false);
  const set = (patch: Partial<Setup>) => {
    setSetup({ ...setup, ...patch });
    setErrors(Object.fromEntries(Object.entries(errors).filter(([path]) => !(path in patch))));
  };
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    const found = checkBody(rows.setUpStudio.body, setup);
    setErrors(found);
    if (Object.keys(found).length > 0) return;
    setSending(true);
    try {
      await ask("setUpStudio", { body: setup });
      // The next page is the studio's own, with the list of what to describe next.
      window.history.replaceState(null, "", "/studio");
      await queries.invalidateQueries();
      window.location.assign("/studio");
    } catch (reason) {
      if (reason instanceof Trouble && (reason.problem.errors?.length ?? 0) > 0)
        setErrors(errorsOfProblem(reason.problem));
      showTrouble(reason);
      setSending(false);
    }
  };
  return (
    <form onSubmit={(event) => void submit(event)} noValidate className="start-form">
      <h1>Your studio</h1>
      <p className="start-lead">
        Five answers; each can be changed later. Usual hours and times are filled in for you.
      </p>
      <TextField
        label="What is the studio called?"
        value={setup.name}
        onChange={(name) => set({ name })}
        error={errors.name}
        autoFocus
      />
      <BasicFields
        form={{ value: setup, set, error: (path) => errors[path] }}
        zoneHint="as this browser tells it"
        currencyHint="for prices and costs"
      />
      <div className="start-acts">
        <Button type="submit" size="lg" loading={sending}>
          Open my studio
        </Button>
        <Button size="lg" variant="subtle" onClick={onBack}>
          Back
        </Button>
      </div>
    </form>
  );
}
