import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useMemo } from "react";
import { useAll } from "../parts/all-of";
import { clockWords } from "../parts/hours";
import { sizeWords, useHabits } from "../parts/quantity";
import type { RecordOf } from "../parts/record-form";
import { RecordList, useListed } from "../parts/record-list";
import type { Column } from "../parts/table";
import type { ThreadFace } from "../parts/thread-chip";
import { MachineFields } from "./machine-fields";
import { NeedleBar } from "./needles";
import {
  freshNeedle,
  kindWords,
  lineUpWords,
  type MachineBody,
  machineFieldLabel,
  machineLabels,
} from "./words";
import "./needles.css";

type Machine = RecordOf<"machines">;

const blank: MachineBody = {
  name: "",
  kind: "multi-needle",
  needles: Array.from({ length: 6 }, (_, index) => freshNeedle(index + 1)),
  stitchesPerMinute: 750,
  fieldWidthMm: 200,
  fieldHeightMm: 200,
  hoopIds: [],
  linesUpBy: "laser",
  hourMeter: null,
  bought: null,
  downTimes: [],
  times: { threadS: null, loadS: null, unloadS: null, colourChangeS: null, trimS: null },
  note: "",
};

/** Sorting words of the list; each machine is drawn whole, not as a row. */
const columns: readonly Column<Machine>[] = [
  { id: "name", title: "Name", sortable: true, cell: (machine) => machine.name },
  { id: "kind", title: "Kind", sortable: true, cell: (machine) => machine.kind },
  { id: "stitchesPerMinute", title: "Speed", sortable: true, cell: (machine) => machine.stitchesPerMinute },
];

export function MachineList() {
  const threads = useAll("threads");
  const hoops = useAll("hoops");
  const faces = useMemo(
    () => new Map<string, ThreadFace>((threads.data ?? []).map((thread) => [thread.id, thread])),
    [threads.data],
  );
  const hoopNames = useMemo(
    () => new Map((hoops.data ?? []).map((hoop) => [hoop.id, hoop.name])),
    [hoops.data],
  );
  return (
    <RecordList
      {...useListed("machines", "name")}
      noun="machines"
      label="Machines"
      one="machine"
      wide
      columns={columns}
      recordOf={(machine) => machine}
      rowWords={(machine) => machine.name}
      body={(machines, open) => (
        <ul className="machines">
          {machines.map((machine) => (
            <li key={machine.id}>
              <MachineCard
                machine={machine}
                threads={faces}
                hoopNames={hoopNames}
                onOpen={() => open(machine.id)}
              />
            </li>
          ))}
        </ul>
      )}
      blank={blank}
      words={(body) => `Machine ${body.name}`}
      labels={machineLabels}
      fieldWords={{
        label: machineFieldLabel,
        show: (path, value) =>
          path.endsWith("threadId") && typeof value === "string"
            ? `${faces.get(value)?.code ?? value} ${faces.get(value)?.name ?? ""}`
            : undefined,
      }}
      empty={{
        title: "No machine yet",
        words:
          "Say how many needles it has, how fast it sews, how large its field is and which hoops it takes. The plan puts each piece where it fits, and keeps on the needles what is needed soonest.",
      }}
    >
      {(given) => <MachineFields {...given} />}
    </RecordList>
  );
}

function MachineCard({
  machine,
  threads,
  hoopNames,
  onOpen,
}: {
  readonly machine: Machine;
  readonly threads: ReadonlyMap<string, ThreadFace>;
  readonly hoopNames: ReadonlyMap<string, string>;
  readonly onOpen: () => void;
}) {
  const { lengthUnit, timeZone } = useHabits();
  const embroiders = machine.kind !== "straight-stitch";
  const today = new Intl.DateTimeFormat("en-CA", { timeZone }).format(new Date());
  const away = machine.downTimes
    .filter((down) => down.toDate >= today)
    .sort((a, b) => (a.fromDate < b.fromDate ? -1 : 1))[0];
  return (
    <article className={`machine sheet${machine.archived ? " is-quiet" : ""}`} aria-label={machine.name}>
      <div className="machine-head">
        <h2>{machine.name}</h2>
        <span className="quiet">
          {machine.needles.length > 0
            ? `${machine.needles.length} ${machine.needles.length === 1 ? "needle" : "needles"} · ${kindWords[machine.kind]}`
            : kindWords[machine.kind]}
        </span>
        {machine.archived && <span className="tag">archived</span>}
        <div className="machine-acts">
          {!machine.archived && (
            <Button
              component={Link}
              to={`/station/${machine.id}`}
              size="md"
              variant="default"
              aria-label={`Station of ${machine.name}`}
            >
              Station
            </Button>
          )}
          <Button size="md" variant="default" onClick={onOpen} aria-label={`Change ${machine.name}`}>
            Change
          </Button>
        </div>
      </div>
      {away && (
        <p className="machine-away" style={{ margin: 0 }}>
          {away.fromDate <= today ? "Away now" : "Away"} {away.fromDate} {clockWords(away.fromMinute)} to{" "}
          {away.toDate} {clockWords(away.toMinute)}
          {away.why && `: ${away.why}`}
        </p>
      )}
      {machine.needles.length > 0 && <NeedleBar machine={machine} threads={threads} />}
      <dl className="machine-facts">
        <Fact
          title="Speed"
          words={`${new Intl.NumberFormat().format(machine.stitchesPerMinute)} stitches/min`}
        />
        {embroiders && (
          <Fact
            title="Sewing field"
            words={sizeWords(machine.fieldWidthMm, machine.fieldHeightMm, lengthUnit)}
          />
        )}
        {embroiders && (
          <Fact
            title="Takes"
            words={
              machine.hoopIds.length === 0
                ? "no hoop yet"
                : machine.hoopIds.map((id) => hoopNames.get(id) ?? "a hoop that is gone").join(", ")
            }
          />
        )}
        {embroiders && <Fact title="Lines up" words={lineUpWords[machine.linesUpBy]} />}
        {machine.hourMeter && (
          <Fact
            title={`Hour meter, ${machine.hourMeter.readOn}`}
            words={`${new Intl.NumberFormat().format(machine.hourMeter.hours)} h`}
          />
        )}
      </dl>
    </article>
  );
}

const Fact = ({ title, words }: { readonly title: string; readonly words: string }) => (
  <div>
    <dt>{title}</dt>
    <dd>{words}</dd>
  </div>
);
