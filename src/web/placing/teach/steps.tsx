import type { Answer } from "#contract";
import { Button, NativeSelect } from "@mantine/core";
import { useState } from "react";
import { useAnswer, useChange } from "../../asking";
import { useAll } from "../../parts/all-of";
import { NumberField } from "../../parts/form";
import { Waiting } from "../../parts/states";

/** What each machine can be told of an angle and a shift, and the room its presser foot needs. */
export function Steps() {
  const machines = useAll("machines", "no");
  const fitting = (machines.data ?? []).filter((machine) => machine.kind !== "straight-stitch");
  const [id, setId] = useState("");
  const chosen = id || fitting[0]?.id || "";
  const steps = useAnswer("placing", "machineSteps", { params: { id: chosen } }, { enabled: chosen !== "" });
  if (machines.isPending) return <Waiting words="Reading the machines" />;
  if (chosen === "") return null;
  return (
    <section className="sheet teach-sheet" aria-labelledby="teach-steps-title">
      <h2 id="teach-steps-title">What a machine can be told</h2>
      <NativeSelect
        size="md"
        label="Machine"
        value={chosen}
        onChange={(event) => setId(event.currentTarget.value)}
        data={fitting.map((machine) => ({ value: machine.id, label: machine.name }))}
      />
      {steps.data && <StepsForm key={chosen + String(steps.data.areOwn)} answer={steps.data} />}
    </section>
  );
}

function StepsForm({ answer }: { readonly answer: Answer<"machineSteps"> }) {
  const [value, setValue] = useState(answer.steps);
  const save = useChange("setMachineSteps", {
    lists: ["placing"],
    done: "What the machine can be told is kept.",
  });
  const set = (key: keyof typeof value) => (typed: number | null) => setValue({ ...value, [key]: typed });
  const isTyped = Object.values(value).every((one) => one === null || Number.isFinite(one));
  return (
    <>
      <div className="place-numbers">
        <NumberField
          label="Angle, in steps of"
          unit="°"
          decimals={2}
          usual="takes none"
          value={value.angleStepDeg}
          onChange={set("angleStepDeg")}
        />
        <NumberField
          label="Shift, in steps of"
          unit="mm"
          decimals={2}
          usual="takes none"
          value={value.shiftStepMm}
          onChange={set("shiftStepMm")}
        />
        <NumberField
          label="Room for the presser foot"
          unit="mm"
          decimals={1}
          value={value.footMarginMm}
          onChange={set("footMarginMm")}
        />
        <NumberField
          label="Laser cross, set to within"
          unit="mm"
          decimals={2}
          value={value.laserSpreadMm}
          onChange={set("laserSpreadMm")}
        />
      </div>
      <p className="quiet">
        {answer.areOwn
          ? "Entered for this machine."
          : "The usual values; enter what the machine’s manual says."}
      </p>
      <div className="place-acts">
        <Button
          size="md"
          disabled={!isTyped}
          loading={save.isPending}
          onClick={() => save.mutate({ params: { id: answer.machineId }, body: { steps: value } })}
        >
          Keep these
        </Button>
        {answer.areOwn && (
          <Button
            size="md"
            variant="subtle"
            onClick={() => save.mutate({ params: { id: answer.machineId }, body: { steps: null } })}
          >
            The usual again
          </Button>
        )}
      </div>
    </>
  );
}
