import type { Answer } from "#contract";
import { instantOf, localTime } from "#core/shop";
import { Button, Menu, Modal, Select } from "@mantine/core";
import { useState } from "react";
import { useAnswer } from "../asking";
import { type CareEvent, useTellFloor } from "../machines/care/tell";
import { TroubleSheet, Waiting } from "../parts/states";
import { LAST_MINUTE, untilChoices } from "../station/choices";
import { isOpenEnded } from "../station/sentences";
import { clockOf } from "./day";
import "./happened.css";

type Floor = Answer<"floorNow">;

/** What happened that changes the day: a machine down, a person gone, a thread used up, or the wish for peace. */
export function Happened({ timeZone }: { readonly timeZone: string }) {
  const [isOpen, setOpen] = useState(false);
  return (
    <>
      <Button size="md" variant="default" onClick={() => setOpen(true)}>
        Something happened …
      </Button>
      <Modal opened={isOpen} onClose={() => setOpen(false)} title="What happened?" size="lg">
        {isOpen && <Choices timeZone={timeZone} />}
      </Modal>
    </>
  );
}

function Choices({ timeZone }: { readonly timeZone: string }) {
  const floor = useAnswer("floor", "floorNow", {});
  if (floor.isError) return <TroubleSheet trouble={floor.error} onAgain={() => void floor.refetch()} />;
  if (!floor.data) return <Waiting words="Looking at the floor" />;
  return <Sections floor={floor.data} timeZone={timeZone} />;
}

/** When the present value of a register ends; null where it has. */
function untilOf(floor: Floor, kind: string, subject: string): number | null {
  const found = floor.registers.find((one) => one.kind === kind && one.subject === subject);
  const untilMs = (found?.value as { untilMs?: number } | undefined)?.untilMs ?? 0;
  return untilMs > floor.nowMs ? untilMs : null;
}

function Sections({ floor, timeZone }: { readonly floor: Floor; readonly timeZone: string }) {
  const { tell, isTelling } = useTellFloor("Noted; the plan follows.");
  const say = (event: CareEvent) => tell(event);
  const until = (untilMs: number) =>
    isOpenEnded(untilMs, floor.nowMs) ? "nobody knows till when" : `until ${clockOf(timeZone, untilMs)}`;
  const choices = untilChoices(timeZone, floor.nowMs);
  const quiet = quietChoices(timeZone, floor.nowMs);
  const board = untilOf(floor, "board", "board");
  const out = new Set(
    floor.registers
      .filter((one) => one.kind === "thread-out" && (one.value as { out: boolean }).out)
      .map((one) => one.subject),
  );
  return (
    <div className="happened" aria-busy={isTelling}>
      <section>
        <h3>The board</h3>
        <Line
          words={board === null ? "follows every change" : `left alone ${until(board)}`}
          back={
            board === null
              ? null
              : { words: "Let it follow again", act: () => say({ kind: "board-left", untilMs: 0 }) }
          }
          choices={quiet}
          label="Leave it alone"
          onChoice={(untilMs) => say({ kind: "board-left", untilMs })}
        />
      </section>
      <section>
        <h3>Machines</h3>
        {floor.machines
          .filter((machine) => machine.needles.length > 0)
          .map(({ id, name }) => {
            const down = untilOf(floor, "down", id);
            const kept = untilOf(floor, "locked", id);
            return (
              <div key={id}>
                <Line
                  name={name}
                  words={down === null ? "runs" : `down ${until(down)}`}
                  back={
                    down === null
                      ? null
                      : { words: `${name} runs again`, act: () => say({ kind: "machine-up", machineId: id }) }
                  }
                  choices={choices}
                  label={`${name} is down`}
                  onChoice={(untilMs) => say({ kind: "machine-down", machineId: id, untilMs, why: "" })}
                />
                <Line
                  words={kept === null ? "" : `keeps its pieces ${until(kept)}`}
                  back={
                    kept === null
                      ? null
                      : {
                          words: "Let them move again",
                          act: () => say({ kind: "machine-locked", machineId: id, untilMs: 0 }),
                        }
                  }
                  choices={quiet}
                  label={`Keep ${name}’s pieces`}
                  onChoice={(untilMs) => say({ kind: "machine-locked", machineId: id, untilMs })}
                />
              </div>
            );
          })}
      </section>
      <section>
        <h3>People</h3>
        {floor.people.map(({ id, name }) => {
          const away = untilOf(floor, "away", id);
          return (
            <Line
              key={id}
              name={name}
              words={away === null ? "is here by the hours" : `is away ${until(away)}`}
              back={
                away === null
                  ? null
                  : { words: `${name} is back`, act: () => say({ kind: "person-back", awayId: id }) }
              }
              choices={choices}
              label={`${name} is away`}
              onChoice={(untilMs) => say({ kind: "person-away", awayId: id, untilMs, why: "" })}
            />
          );
        })}
      </section>
      <section>
        <h3>Threads</h3>
        {floor.threads
          .filter((thread) => out.has(thread.id))
          .map(({ id, code, name }) => (
            <Line
              key={id}
              name={`${code} ${name}`}
              words="is used up: its pieces wait"
              back={{ words: "There is thread again", act: () => say({ kind: "thread-in", threadId: id }) }}
            />
          ))}
        <Select
          label="A thread is used up"
          placeholder="Which one"
          searchable
          value={null}
          data={floor.threads
            .filter((thread) => !out.has(thread.id))
            .map(({ id, code, name }) => ({ value: id, label: `${code} ${name}` }))}
          onChange={(id) => id !== null && say({ kind: "thread-out", threadId: id })}
        />
      </section>
    </div>
  );
}

/** Until when to be left in peace: an hour, noon, the rest of the day. */
function quietChoices(timeZone: string, nowMs: number) {
  const { date, minute } = localTime(timeZone, nowMs);
  return [
    { words: "for an hour", untilMs: nowMs + 3_600_000 },
    ...(minute < 12 * 60 ? [{ words: "until noon", untilMs: instantOf(timeZone, date, 12 * 60) }] : []),
    { words: "for the rest of the day", untilMs: instantOf(timeZone, date, LAST_MINUTE) },
  ];
}

interface LineAsked {
  readonly name?: string;
  readonly words: string;
  /** Ends what stands; null while nothing does. */
  readonly back: { readonly words: string; readonly act: () => void } | null;
  readonly choices?: readonly { readonly words: string; readonly untilMs: number }[];
  readonly label?: string;
  readonly onChoice?: (untilMs: number) => void;
}

function Line({ name, words, back, choices, label, onChoice }: LineAsked) {
  return (
    <div className="happened-line">
      <span>
        {name && <b>{name}</b>} <span className="quiet">{words}</span>
      </span>
      {back ? (
        <Button size="md" onClick={back.act}>
          {back.words}
        </Button>
      ) : (
        choices && (
          <Menu position="bottom-end" width={240}>
            <Menu.Target>
              <Button size="md" variant="default">
                {label} …
              </Button>
            </Menu.Target>
            <Menu.Dropdown>
              {choices.map((choice) => (
                <Menu.Item
                  key={choice.words}
                  className="floor-item"
                  onClick={() => onChoice?.(choice.untilMs)}
                >
                  {choice.words}
                </Menu.Item>
              ))}
            </Menu.Dropdown>
          </Menu>
        )
      )}
    </div>
  );
}
