import type { shapes } from "#contract";
import { Button, Menu, Modal, NumberInput, TextInput } from "@mantine/core";
import { MoneyField } from "../../parts/quantity";
import { Link } from "@tanstack/react-router";
import { useState } from "react";
import { useAnswer } from "../../asking";
import { saveFile } from "../../parts/save-file";
import { Empty, TroubleSheet, Waiting } from "../../parts/states";
import { NeedleQuestion } from "../../station/needle-question";
import { useTellFloor } from "./tell";
import { RenewalAge } from "./renewal";
import { CareRules } from "./rules";
import { ServiceLine } from "./service-line";
import { Trips } from "./trips";
import { countWords, hoursWords, stateWords, timeWords } from "./words";
import "./care.css";

type Machine = shapes.CareOfMachine;
type Standing = Machine["standings"][number];

/** Care of the machines: what is due, needles, the next service, and the trip to it. */
export function CareLeaf() {
  const care = useAnswer("care", "careNow", {});
  if (care.isError) return <TroubleSheet trouble={care.error} onAgain={() => void care.refetch()} />;
  if (!care.data) return <Waiting words="Counting hours and stitches" />;
  const { machines, rules } = care.data;
  if (machines.length === 0)
    return (
      <Empty
        title="No machine to care for yet"
        action={
          <Button component={Link} to="/machines" size="md">
            Add a machine
          </Button>
        }
      >
        Here stands when each machine is to be oiled, re-needled, cleaned and serviced, counted from what it
        really sewed.
      </Empty>
    );
  return (
    <div className="care">
      {machines.map((machine) => (
        <MachineCare key={machine.machineId} machine={machine} rules={rules} />
      ))}
      {machines.some((machine) => machine.service !== null) && <Trips machines={machines} />}
      <CareRules rules={rules} areOwn={care.data.areOwn} />
      {machines.some((machine) => machine.needles.length > 0) && <RenewalAge />}
    </div>
  );
}

type Rule = { readonly id: string; readonly name: string; readonly minutes: number; readonly instructions: readonly string[]; readonly caution: string }; // prettier-ignore

function MachineCare({ machine, rules }: { readonly machine: Machine; readonly rules: readonly Rule[] }) {
  const whole = machine.standings.filter((standing) => standing.needle === null);
  const ruleOf = new Map(rules.map((rule) => [rule.id, rule]));
  return (
    <section className="sheet care-machine" aria-label={machine.name}>
      <header className="care-head">
        <h2>{machine.name}</h2>
        <span>
          <b>{hoursWords(machine.meter.hours)}</b> <span className="quiet">on the meter</span>
        </span>
        {machine.kind !== "straight-stitch" && (
          <span className="quiet">
            {countWords(machine.stitches)} stitches counted in {countWords(machine.pieces)} runs
          </span>
        )}
        <div className="care-acts">
          <MeterReading machine={machine} />
          <Repair machine={machine} />
          <Button
            variant="default"
            size="md"
            onClick={() => void saveFile("machineRecordSheet", { id: machine.machineId })}
          >
            Record as PDF
          </Button>
        </div>
      </header>
      <ul className="care-rules">
        {whole.map((standing) => (
          <RuleLine
            key={standing.ruleId}
            machine={machine}
            standing={standing}
            rule={ruleOf.get(standing.ruleId)!}
          />
        ))}
      </ul>
      {machine.needles.length > 0 && <Needles machine={machine} />}
      {machine.service && <ServiceLine service={machine.service} />}
      {machine.meter.estimatedPieces > 0 && (
        <p className="quiet">
          {hoursWords(machine.meter.estimatedHours)} of these are estimated: no station told of{" "}
          {machine.meter.estimatedPieces === 1 ? "one run" : `${machine.meter.estimatedPieces} runs`}, which{" "}
          {machine.meter.estimatedPieces === 1 ? "counts" : "count"} with the time expected. Reading the meter
          puts it right.
        </p>
      )}
      {machine.meter.differences.length > 1 && (
        <p className="quiet">{machine.meter.differences.at(-1)!.sentence}</p>
      )}
    </section>
  );
}

function RuleLine({
  machine,
  standing,
  rule,
}: {
  readonly machine: Machine;
  readonly standing: Standing;
  readonly rule: Rule;
}) {
  const [isOpen, setOpen] = useState(false);
  const { tell, isTelling } = useTellFloor(`${rule.name} on ${machine.name}: noted as done.`);
  const done = () =>
    tell({ kind: "care-done", machineId: machine.machineId, ruleId: rule.id, note: "" }, () =>
      setOpen(false),
    );
  return (
    <li className="care-rule">
      <b>{rule.name}</b>
      <span className="care-state" data-state={standing.state}>
        {stateWords[standing.state]}
        <span className="visually-hidden">: {standing.sentence}</span>
      </span>
      <span className="care-line" data-state={standing.state} aria-hidden title={standing.sentence}>
        <span style={{ width: `${Math.min(100, standing.share * 100)}%` }} />
      </span>
      <Button
        size="md"
        variant={standing.state === "due" || standing.state === "overdue" ? "filled" : "default"}
        aria-expanded={isOpen}
        aria-label={`${rule.name} on ${machine.name}: how it is done`}
        onClick={() => setOpen(!isOpen)}
      >
        {isOpen ? "Close" : `Do it · ${rule.minutes} min`}
      </Button>
      {isOpen && (
        <div className="care-steps">
          <p className="quiet">{standing.sentence}</p>
          <ol>
            {rule.instructions.map((step) => (
              <li key={step}>{step}</li>
            ))}
          </ol>
          {rule.caution && <p className="care-caution">{rule.caution}</p>}
          <Button size="md" color="leaf" loading={isTelling} onClick={done}>
            It is done
          </Button>
        </div>
      )}
    </li>
  );
}

const whys = [
  { why: "worn", words: "Worn: its hours are up" },
  { why: "struck", words: "Struck, bent or broken" },
  { why: "other-size", words: "Another size or point …" },
  { why: "other", words: "Another reason" },
] as const;

function Needles({ machine }: { readonly machine: Machine }) {
  const { tell } = useTellFloor("Needle change noted.");
  const [sized, setSized] = useState<Machine["needles"][number] | null>(null);
  const standings = new Map(
    machine.standings.flatMap((one) => (one.needle === null ? [] : [[one.needle, one] as const])),
  );
  const warned = machine.needles.filter((needle) => needle.warning !== null);
  return (
    <>
      <div className="care-needles" role="group" aria-label={`Needles of ${machine.name}`}>
        {machine.needles.map((needle) => {
          const standing = standings.get(needle.number);
          return (
            <Menu key={needle.number} position="bottom-start" width={260}>
              <Menu.Target>
                <button
                  type="button"
                  className="care-needle"
                  data-state={standing?.state}
                  data-warned={needle.warning === null ? undefined : true}
                >
                  <b>Needle {needle.number}</b>
                  <span>{timeWords(needle.runS)}</span>
                  <span className="quiet">
                    {countWords(needle.stitches)} st
                    {needle.breaks > 0 && ` · ${needle.breaks} ${needle.breaks === 1 ? "break" : "breaks"}`}
                  </span>
                  {standing && standing.state !== "fine" && (
                    <span className="care-state" data-state={standing.state}>
                      change {stateWords[standing.state]}
                    </span>
                  )}
                </button>
              </Menu.Target>
              <Menu.Dropdown>
                <Menu.Label>Power off, hands clear. The needle was changed:</Menu.Label>
                {whys.map(({ why, words }) => (
                  <Menu.Item
                    key={why}
                    className="floor-item"
                    onClick={
                      () =>
                      why === "other-size" ? setSized(needle) :
                      tell({ kind: "needle-changed", machineId: machine.machineId, needle: needle.number, why, sizeNm: null, point: null }) // prettier-ignore
                    }
                  >
                    {words}
                  </Menu.Item>
                ))}
              </Menu.Dropdown>
            </Menu>
          );
        })}
      </div>
      {sized && (
        <NeedleQuestion
          machineId={machine.machineId}
          needle={sized.number}
          known={sized}
          why="other-size"
          onTell={(draft) => tell(draft)}
          onClose={() => setSized(null)}
        />
      )}
      {warned.map((needle) => (
        <p key={needle.number} className="care-warning">
          {needle.warning}
        </p>
      ))}
    </>
  );
}

function MeterReading({ machine }: { readonly machine: Machine }) {
  const [isOpen, setOpen] = useState(false);
  const [hours, setHours] = useState<number | string>("");
  const { tell, isTelling } = useTellFloor(`Meter of ${machine.name} noted.`);
  const send = () =>
    typeof hours === "number" &&
    tell({ kind: "meter-read", machineId: machine.machineId, hours }, () => setOpen(false));
  return (
    <>
      <Button variant="default" size="md" onClick={() => setOpen(true)}>
        Read the meter
      </Button>
      <Modal opened={isOpen} onClose={() => setOpen(false)} title={`Hour meter of ${machine.name}`}>
        <NumberInput
          label="It shows"
          suffix=" h"
          description={`We count ${hoursWords(machine.meter.hours)}. The meter is believed, and the difference kept.`}
          min={0}
          decimalScale={1}
          value={hours}
          onChange={setHours}
          data-autofocus
        />
        <Button mt="md" size="md" loading={isTelling} disabled={typeof hours !== "number"} onClick={send}>
          Keep it
        </Button>
      </Modal>
    </>
  );
}

function Repair({ machine }: { readonly machine: Machine }) {
  const [isOpen, setOpen] = useState(false);
  const [what, setWhat] = useState("");
  const [costCents, setCost] = useState<number | null>(null);
  const { tell, isTelling } = useTellFloor("Repair noted.");
  const send = () =>
    tell({ kind: "repaired", machineId: machine.machineId, what: what.trim(), costCents }, () => {
      setOpen(false);
      setWhat("");
      setCost(null);
    });
  return (
    <>
      <Button variant="default" size="md" onClick={() => setOpen(true)}>
        Note a repair
      </Button>
      <Modal opened={isOpen} onClose={() => setOpen(false)} title={`Repair of ${machine.name}`}>
        <TextInput
          label="What was done"
          placeholder="New take-up spring on needle 4"
          value={what}
          onChange={(event) => setWhat(event.currentTarget.value)}
          maxLength={300}
          data-autofocus
        />
        <MoneyField
          label="It cost"
          hint="with carriage; from three repairs on the machine’s hour is counted with them"
          value={costCents}
          onChange={setCost}
        />
        <Button
          mt="md"
          size="md"
          loading={isTelling}
          disabled={what.trim() === "" || Number.isNaN(costCents)}
          onClick={send}
        >
          Keep it
        </Button>
      </Modal>
    </>
  );
}
