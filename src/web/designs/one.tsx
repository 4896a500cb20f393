import { Button } from "@mantine/core";
import { Link, useParams } from "@tanstack/react-router";
import { useEffect, useMemo, useState } from "react";
import { rows, type shapes } from "#contract";
import { useAnswer, useChange } from "../asking";
import { type Marker, Viewer } from "../canvas/viewer";
import { addressOf } from "../client";
import { checkBody } from "../parts/field-errors";
import { TextField } from "../parts/form";
import { useListAddress } from "../parts/list-address";
import { ThreadField } from "../parts/thread-picker";
import { lengthWords, sizeWords, useHabits } from "../parts/quantity";
import { TroubleSheet, Waiting } from "../parts/states";
import { BringInReport, ChooseFiles, DropVeil, useBringIn, useDrop } from "./bring-in";
import { useThreads } from "./threads";
import {
  aboutWords,
  heightOf,
  levelWords,
  metresWords,
  number,
  sewingSeconds,
  sourceWords,
  widthOf,
} from "./words";
import "./back-link.css";
import "./designs.css";
import "./one.css";

/** One design: its picture as thread, its parts and their threads, what was found, its versions. */
export function DesignPage() {
  const { id } = useParams({ strict: false }) as { id: string };
  const answer = useAnswer("designs", "readDesign", { params: { id } });
  const address = useListAddress();
  if (answer.isPending) return <Waiting words="Fetching the design" />;
  if (answer.isError) return <TroubleSheet trouble={answer.error} onAgain={() => void answer.refetch()} />;
  const { design, versions } = answer.data;
  const wanted = Number(address.word("v"));
  const version = versions.find((one) => one.number === wanted) ?? versions[0] ?? design.latest;
  return (
    <OneDesign
      key={design.id}
      design={design}
      versions={versions}
      version={version}
      onVersion={(one) =>
        address.set({ v: one.id === design.latest.id ? undefined : String(one.number) }, "push")
      }
    />
  );
}

interface OneProps {
  readonly design: shapes.DesignRecord;
  readonly versions: readonly shapes.DesignVersion[];
  readonly version: shapes.DesignVersion;
  readonly onVersion: (version: shapes.DesignVersion) => void;
}

function OneDesign({ design, versions, version, onVersion }: OneProps) {
  const unit = useHabits().lengthUnit;
  const byId = useThreads();
  const [editing, setEditing] = useState(false);
  const [onlyPart, setOnlyPart] = useState<number | null>(null);
  const [chosen, setChosen] = useState<string | null>(null);
  const [goTo, setGoTo] = useState<{ xMm: number; yMm: number } | null>(null);
  const bring = useBringIn(design.id, () => onVersion(design.latest));
  const over = useDrop((files) => void bring.start(files));
  const pace = usePace();
  useEffect(() => {
    document.title = `${design.name} · Spoolwright`;
  }, [design.name]);
  const colours = useMemo(
    () => version.parts.map((part) => (part.threadId && byId.get(part.threadId)?.rgb) || "#9a948a"),
    [version, byId],
  );
  const partWords = useMemo(
    () => version.parts.map((part) => wordsOfThread(part.threadId ? byId.get(part.threadId) : undefined)),
    [version, byId],
  );
  const markers = useMemo(() => markersOf(version), [version]);
  const show = (index: number) => {
    const at = version.findings[index]?.at;
    setChosen(String(index));
    if (at?.part !== undefined && at.xTenths === undefined) setOnlyPart(at.part);
    if (at?.xTenths !== undefined && at.yTenths !== undefined)
      setGoTo({ xMm: at.xTenths / 10, yMm: at.yTenths / 10 });
  };
  return (
    <>
      <DropVeil shown={over} words={`Drop to add a version of ${design.name}`} />
      <div className="design-head">
        <Link to="/designs" className="back-link">
          ← Designs
        </Link>
        <h1>{design.name}</h1>
        {design.archived && <span className="finding-mark">archived</span>}
        <HeadActs design={design} version={version} onEdit={() => setEditing(!editing)} />
      </div>
      {editing && <NameForm design={design} onDone={() => setEditing(false)} />}
      {!editing && design.note && <p className="quiet">{design.note}</p>}
      <BringInReport state={bring.state} onCancel={bring.cancel} onClear={bring.clear} />
      {version.id !== versions[0]?.id && (
        <div className="design-old" role="status">
          <span>
            This is version {version.number}; the newest is {versions[0]?.number}. Pieces that were planned
            with it keep it.
          </span>
          <Button size="md" variant="default" onClick={() => versions[0] && onVersion(versions[0])}>
            Show the newest
          </Button>
        </div>
      )}
      <div className="design-room">
        <Viewer
          key={version.id}
          address={addressOf("designStitches", { id: version.id })}
          name={design.name}
          extentsMm={version.extentsMm}
          colours={colours}
          partWords={partWords}
          unit={unit}
          stitchesPerMinute={pace.stitchesPerMinute}
          onlyPart={onlyPart}
          markers={markers}
          goTo={goTo}
          onMarker={setChosen}
        />
        <div className="design-side">
          <Facts version={version} unit={unit} pace={pace} />
          <Parts version={version} onlyPart={onlyPart} onOnly={setOnlyPart} />
          <Findings version={version} chosen={chosen} onShow={show} />
          <Versions
            versions={versions}
            shown={version}
            onVersion={onVersion}
            onFiles={(files) => void bring.start(files)}
          />
        </div>
      </div>
    </>
  );
}

const wordsOfThread = (thread: shapes.ThreadRecord | undefined) =>
  thread ? `${thread.code} ${thread.name}` : "no thread yet";

function markersOf(version: shapes.DesignVersion): readonly Marker[] {
  return version.findings.flatMap((finding, index) =>
    finding.at?.xTenths === undefined || finding.at.yTenths === undefined
      ? []
      : [
          {
            key: String(index),
            xMm: finding.at.xTenths / 10,
            yMm: finding.at.yTenths / 10,
            words: finding.message,
            level: finding.level,
            text: String(index + 1),
          },
        ],
  );
}

/** The first embroidery machine's speed and the studio's usual times; 850 a minute where there is no machine (TRADE.md). */
function usePace() {
  const machines = useAnswer("machines", "machines.list", { query: { limit: 500 } });
  const studio = useAnswer("studio", "readStudio", {});
  const machine = machines.data?.items.find((one) => one.kind === "multi-needle");
  const times = studio.data?.stepTimes;
  return {
    machine: machine?.name ?? null,
    stitchesPerMinute: machine?.stitchesPerMinute ?? 850,
    colourChangeS: machine?.times.colourChangeS ?? times?.colourChangeS ?? 8,
    trimS: machine?.times.trimS ?? times?.trimS ?? 6,
  };
}

function HeadActs({
  design,
  version,
  onEdit,
}: {
  readonly design: shapes.DesignRecord;
  readonly version: shapes.DesignVersion;
  readonly onEdit: () => void;
}) {
  const archive = useChange("archiveDesign", { lists: ["designs"], done: `${design.name} archived.` });
  const back = useChange("unarchiveDesign", { lists: ["designs"], done: `${design.name} is back.` });
  return (
    <div className="design-head-acts">
      <Button size="md" variant="default" onClick={onEdit}>
        Name and note
      </Button>
      <Button
        size="md"
        variant="default"
        loading={archive.isPending || back.isPending}
        onClick={() =>
          (design.archived ? back : archive).mutate({ params: { id: design.id }, version: design.version })
        }
      >
        {design.archived ? "Take back" : "Archive"}
      </Button>
      <Button size="md" component="a" href={addressOf("designFile", { id: version.id })} download>
        Machine file
      </Button>
    </div>
  );
}

function NameForm({ design, onDone }: { readonly design: shapes.DesignRecord; readonly onDone: () => void }) {
  const [name, setName] = useState(design.name);
  const [note, setNote] = useState(design.note);
  const change = useChange("changeDesign", { lists: ["designs"], done: "Design changed." });
  const errors = checkBody(rows.changeDesign.body, { name, note });
  const save = (event: React.FormEvent) => {
    event.preventDefault();
    if (Object.keys(errors).length === 0)
      change.mutate(
        { params: { id: design.id }, version: design.version, body: { name, note } },
        { onSuccess: onDone },
      );
  };
  const stale = change.error?.problem.status === 412;
  return (
    <form className="design-edit sheet" onSubmit={save}>
      <TextField label="Name" value={name} onChange={setName} error={errors.name} autoFocus />
      <TextField label="Note" value={note} onChange={setNote} error={errors.note} long />
      {stale && (
        <p role="alert" className="design-old">
          Someone else changed it meanwhile: it is now called “
          {(change.error?.problem.current as shapes.DesignRecord | undefined)?.name ?? design.name}”. Your
          words are kept here; save again to put them in its place.
        </p>
      )}
      <div className="design-edit-acts">
        <Button size="md" variant="subtle" onClick={onDone}>
          Leave it
        </Button>
        <Button size="md" type="submit" loading={change.isPending}>
          Save
        </Button>
      </div>
    </form>
  );
}

function Facts({
  version,
  unit,
  pace,
}: {
  readonly version: shapes.DesignVersion;
  readonly unit: "mm" | "inch";
  readonly pace: ReturnType<typeof usePace>;
}) {
  const seconds = sewingSeconds(version, pace);
  const threadMm = version.parts.reduce((sum, part) => sum + part.threadMm, 0);
  const facts = [
    ["size", sizeWords(widthOf(version), heightOf(version), unit), "is-wide"],
    ["stitches", number.format(version.stitches)],
    [
      pace.machine
        ? `on ${pace.machine}, at ${pace.stitchesPerMinute} a minute`
        : `at ${pace.stitchesPerMinute} a minute`,
      aboutWords(seconds),
      "is-wide",
    ],
    ["thread", metresWords(threadMm)],
    ["colour stops", number.format(version.stops)],
    ["trims", number.format(version.trims)],
    ["jumps", number.format(version.jumps)],
    ["longest stitch", lengthWords(version.longestMm, unit)],
    ["shortest stitch", lengthWords(version.shortestMm, unit)],
    ["densest", `${version.densestPerMm2.toFixed(1)} per mm²`],
  ] as const;
  return (
    <section className="design-card-in sheet" aria-label="Facts">
      <dl className="design-facts">
        {facts.map(([term, value, wide]) => (
          <div key={term} className={wide}>
            <dt>{term}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

interface PartsProps {
  readonly version: shapes.DesignVersion;
  readonly onlyPart: number | null;
  readonly onOnly: (part: number | null) => void;
}

function Parts({ version, onlyPart, onOnly }: PartsProps) {
  const [part, setPart] = useState(0);
  const choose = useChange("chooseThreads", { lists: ["designs"], done: `Part ${part + 1} has its thread.` });
  const missing = version.parts.filter((one) => one.threadId === null).length;
  const set = (index: number, threadId: string | null) => {
    setPart(index);
    choose.mutate({
      params: { id: version.id },
      body: { threadIds: version.parts.map((one, place) => (place === index ? threadId : one.threadId)) },
    });
  };
  return (
    <section className="design-card-in sheet" aria-labelledby="parts-head">
      <h2 id="parts-head">
        {version.parts.length} {version.parts.length === 1 ? "part" : "parts"} in sewing order
      </h2>
      {missing > 0 && (
        <p className="finding-mark">
          {missing === 1 ? "1 part has no thread yet" : `${missing} parts have no thread yet`}
        </p>
      )}
      <ol className="design-parts">
        {version.parts.map((one, index) => (
          <li key={index} className="design-part">
            <ThreadField
              label={`Part ${index + 1} of ${version.parts.length}`}
              value={one.threadId}
              onChange={(threadId) => set(index, threadId)}
              noneWords="choose a thread"
            />
            <Button
              size="md"
              variant={onlyPart === index ? "filled" : "default"}
              aria-pressed={onlyPart === index}
              onClick={() => onOnly(onlyPart === index ? null : index)}
              aria-label={`Show part ${index + 1} alone`}
            >
              alone
            </Button>
            <span className="design-part-facts">
              {number.format(one.stitches)} stitches · {metresWords(one.threadMm)} of thread
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}

function Findings({
  version,
  chosen,
  onShow,
}: {
  readonly version: shapes.DesignVersion;
  readonly chosen: string | null;
  readonly onShow: (index: number) => void;
}) {
  useEffect(() => {
    if (chosen !== null) document.getElementById(`finding-${chosen}`)?.scrollIntoView({ block: "nearest" });
  }, [chosen]);
  return (
    <section className="design-card-in sheet" aria-labelledby="findings-head">
      <h2 id="findings-head">{version.findings.length === 0 ? "Nothing to mend" : "What was found"}</h2>
      {version.findings.length === 0 && (
        <p className="quiet">
          The stitches were checked for length, density, trims and the file’s own counts.
        </p>
      )}
      <ol className="design-findings">
        {version.findings.map((finding, index) => (
          <li key={index} id={`finding-${index}`} data-chosen={chosen === String(index) || undefined}>
            <span className={`finding-number is-${finding.level}`} aria-hidden>
              {index + 1}
            </span>
            <div>
              <b>{levelWords[finding.level]}</b>
              <p>{finding.message}</p>
              {finding.advice && <p className="quiet">{finding.advice}</p>}
              {(finding.at?.xTenths !== undefined || finding.at?.part !== undefined) && (
                <Button size="md" variant="subtle" px={8} onClick={() => onShow(index)}>
                  {finding.at.xTenths !== undefined ? "Show the place" : `Show part ${finding.at.part! + 1}`}
                </Button>
              )}
            </div>
          </li>
        ))}
      </ol>
    </section>
  );
}

function Versions({
  versions,
  shown,
  onVersion,
  onFiles,
}: {
  readonly versions: readonly shapes.DesignVersion[];
  readonly shown: shapes.DesignVersion;
  readonly onVersion: (version: shapes.DesignVersion) => void;
  readonly onFiles: (files: readonly File[]) => void;
}) {
  const { timeZone } = useHabits();
  const day = new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "short", timeZone });
  return (
    <section className="design-card-in sheet" aria-labelledby="versions-head">
      <h2 id="versions-head">Versions</h2>
      <p className="quiet">A new file becomes a new version; none is ever overwritten.</p>
      <ul className="design-versions">
        {versions.map((one) => (
          <li key={one.id}>
            <div>
              <b>Version {one.number}</b> <span className="quiet">{sourceWords[one.source]}</span>
              <br />
              <span className="quiet">
                {day.format(one.madeAtMs)}
                {one.fileName && ` · ${one.fileName}`} · {number.format(one.stitches)} stitches
              </span>
            </div>
            {one.id === shown.id ? (
              <span className="quiet">shown</span>
            ) : (
              <Button
                size="md"
                variant="default"
                onClick={() => onVersion(one)}
                aria-label={`Show version ${one.number}`}
              >
                Show
              </Button>
            )}
          </li>
        ))}
      </ul>
      <div style={{ marginTop: 12 }}>
        <ChooseFiles words="Bring in a new version" accept=".dst,.zip" many={false} onFiles={onFiles} />
      </div>
    </section>
  );
}
