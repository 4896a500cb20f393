import { Button } from "@mantine/core";
import { Link, useParams } from "@tanstack/react-router";
import { useCallback, useEffect, useMemo, useState } from "react";
import type { shapes } from "#contract";
import { useAnswer } from "../asking";
import { type Marker, Viewer } from "../canvas/viewer";
import { addressOf } from "../client";
import { useListAddress } from "../parts/list-address";
import { useHabits } from "../parts/quantity";
import { TroubleSheet, Waiting } from "../parts/states";
import { BringInReport, DropVeil, useBringIn, useDrop } from "./bring-in";
import { needlesFor } from "./design-needles";
import { useMachineChoice } from "./machine-choice";
import { type MendChoice, Mending } from "./mending";
import { Facts, Needles } from "./one-facts";
import { Findings } from "./one-findings";
import { type FindingSpot, placesOfFinding } from "./finding-places";
import { HeadActs, NameForm } from "./one-head";
import { Parts } from "./one-parts";
import { Versions } from "./one-versions";
import { HowItIsMade } from "./making/page";
import { useThreads } from "./threads";
import "./back-link.css";
import "./designs.css";
import "./mending.css";
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
  const address = useListAddress();
  const { machines, chosen: machine, pace } = useMachineChoice(address.word("m"));
  const [hidden, setHidden] = useState<readonly number[]>([]);
  const [mending, setMending] = useState<MendChoice | null>(null);
  useEffect(() => {
    document.title = `${design.name} · Spoolwright`;
  }, [design.name]);
  const colourOf = useCallback((id: string | null) => (id && byId.get(id)?.rgb) || "#9a948a", [byId]);
  const colours = useMemo(() => version.parts.map((part) => colourOf(part.threadId)), [version, colourOf]);
  const needles = useMemo(
    () => needlesFor(version.parts.map(({ threadId }) => threadId), machine?.needles ?? []), // prettier-ignore
    [version, machine],
  );
  const needleOf = useCallback((part: number) => needles.byPart[part] ?? null, [needles]);
  const sameThread = useCallback(
    (part: number) => {
      const thread = version.parts[part]?.threadId ?? null;
      return thread !== null && thread === version.parts[part - 1]?.threadId;
    },
    [version],
  );
  const partWords = useMemo(
    () => version.parts.map((part) => wordsOfThread(part.threadId ? byId.get(part.threadId) : undefined)),
    [version, byId],
  );
  const cloth = clothOf(address.word("cloth"));
  const checks = useAnswer(
    "designs",
    "checkDesignVersion",
    {
      params: { id: version.id },
      query: { machineId: machine?.id ?? "", jobId: address.word("job"), ...(cloth ? { cloth } : {}) },
    },
    { keep: true },
  );
  // Until they have come, and where they cannot, what was found when it was brought in stands.
  const findings = checks.data?.findings ?? version.findings;
  const markers = useMemo(() => markersOf(findings), [findings]);
  const spots = useMemo(
    () => (chosen === null || !findings[Number(chosen)] ? [] : placesOfFinding(findings[Number(chosen)]!).slice(1).map(mmOf)), // prettier-ignore
    [findings, chosen],
  );
  const show = (index: number, place: number) => {
    const finding = findings[index];
    if (!finding) return;
    setChosen(String(index));
    const spot = placesOfFinding(finding)[place];
    if (spot) setGoTo(mmOf(spot));
    else if (finding.at?.part !== undefined) setOnlyPart(finding.at.part);
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
      {mending && (
        <Mending
          key={version.id}
          design={design}
          version={version}
          choice={mending}
          onChoice={setMending}
          onClose={() => setMending(null)}
          onKept={() => {
            setMending(null);
            address.set({ v: undefined }, "push");
          }}
          colourOf={colourOf}
        />
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
          pace={pace}
          sameThread={sameThread}
          needleOf={needleOf}
          onlyPart={onlyPart}
          hiddenParts={hidden}
          chosen={chosen}
          markers={markers}
          spots={spots}
          goTo={goTo}
          onMarker={setChosen}
        />
        <div className="design-side">
          <Facts version={version} unit={unit} pace={pace} />
          <Findings
            findings={findings}
            machine={pace.machine}
            cloth={cloth}
            onCloth={(next) => address.set({ cloth: next ?? undefined })}
            chosen={chosen}
            onShow={show}
            onMend={(mends) => setMending({ cloth, mends })}
          />
          <Parts
            version={version}
            onlyPart={onlyPart}
            onOnly={setOnlyPart}
            hidden={hidden}
            onHidden={setHidden}
          />
          <Needles
            machines={machines}
            chosen={machine}
            onMachine={(id) => address.set({ m: id })}
            needles={needles}
            threads={byId}
          />
          <HowItIsMade versionId={version.id} />
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

const mmOf = ({ xTenths, yTenths }: FindingSpot) => ({ xMm: xTenths / 10, yMm: yTenths / 10 });

const wordsOfThread = (thread: shapes.ThreadRecord | undefined) =>
  thread ? `${thread.code} ${thread.name}` : "no thread yet";

const clothOf = (word: string) => (word === "woven" || word === "knit" || word === "pile" ? word : null);

function markersOf(findings: readonly shapes.FindingShape[]): readonly Marker[] {
  return findings.flatMap((finding, index) =>
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
