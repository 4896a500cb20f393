import { Button, Select } from "@mantine/core";
import type { shapes } from "#contract";
import { useState } from "react";
import { useAnswer, useChange } from "../asking";
import type { Trouble } from "../client";
import { useAll } from "../parts/all-of";
import { ChoiceField, ManyChoice, Row } from "../parts/form";
import { DurationField } from "../parts/quantity";
import { ThreadChip, type ThreadFace } from "../parts/thread-chip";
import { ThreadPicker } from "../parts/thread-picker";

type Body = Pick<
  shapes.JobRecord,
  "designVersionId" | "threadIds" | "hoopId" | "machineIds" | "hoopS" | "unhoopS" | "finishS"
>;

const bodyOf = ({
  designVersionId,
  threadIds,
  hoopId,
  machineIds,
  hoopS,
  unhoopS,
  finishS,
}: shapes.JobRecord): Body => ({
  designVersionId,
  threadIds,
  hoopId,
  machineIds,
  hoopS,
  unhoopS,
  finishS,
});

interface JobFormProps {
  readonly job: shapes.JobRecord;
  readonly faces: ReadonlyMap<string, ThreadFace>;
  readonly onDone: () => void;
}

/** One run of a piece set by hand: its design, a thread for each part, hoop, machines and times. What is set here no longer follows the product. */
export function JobForm({ job, faces, onDone }: JobFormProps) {
  const [body, setBody] = useState<Body>(() => bodyOf(job));
  const [picking, setPicking] = useState<number | null>(null);
  const change = useChange("changeJob", {
    lists: ["pieces", "orders", "plan"],
    done: `${job.placementName} changed`,
    quiet: true,
  });
  const set = (next: Partial<Body>) => setBody({ ...body, ...next });
  const save = () =>
    change.mutate(
      { params: { id: job.id }, version: job.version, body: { ...body, threadIds: [...body.threadIds] } },
      { onSuccess: onDone },
    );
  return (
    <form
      className="job-form"
      aria-label={`Change ${job.placementName}`}
      onSubmit={(event) => {
        event.preventDefault();
        save();
      }}
    >
      <DesignChoice
        chosen={body.designVersionId}
        onChoose={(designVersionId, threadIds) => set({ designVersionId, threadIds })}
      />
      {body.threadIds.length > 0 && (
        <ol className="part-list" aria-label="A thread for each part">
          {body.threadIds.map((id, part) => (
            <li key={part}>
              <span className="part-needle">part {part + 1}</span>
              <ThreadChip thread={id === null ? null : (faces.get(id) ?? null)} />
              <Button
                variant="default"
                size="md"
                onClick={() => setPicking(part)}
                aria-label={`Choose the thread of part ${part + 1}`}
              >
                Choose
              </Button>
            </li>
          ))}
        </ol>
      )}
      <ThreadPicker
        opened={picking !== null}
        title={`Thread of part ${(picking ?? 0) + 1}`}
        current={picking === null ? null : (body.threadIds[picking] ?? null)}
        noneWords="No thread yet"
        onPick={(threadId) => {
          set({ threadIds: body.threadIds.map((id, part) => (part === picking ? threadId : id)) });
          setPicking(null);
        }}
        onClose={() => setPicking(null)}
      />
      <HoopAndMachines body={body} set={set} />
      <Row>
        <DurationField
          label="Hooping"
          usual="as the hoop"
          value={body.hoopS}
          onChange={(hoopS) => set({ hoopS })}
        />
        <DurationField
          label="Un-hooping"
          usual="as usual"
          value={body.unhoopS}
          onChange={(unhoopS) => set({ unhoopS })}
        />
        <DurationField
          label="Press, check, pack"
          usual="as usual"
          value={body.finishS}
          onChange={(finishS) => set({ finishS })}
        />
      </Row>
      {change.isError && <SaveTrouble trouble={change.error} />}
      <div className="moves-row">
        <Button type="submit" size="md" loading={change.isPending}>
          Save
        </Button>
        <Button variant="default" size="md" onClick={onDone}>
          Leave it as it was
        </Button>
      </div>
    </form>
  );
}

function HoopAndMachines({
  body,
  set,
}: {
  readonly body: Body;
  readonly set: (next: Partial<Body>) => void;
}) {
  const hoops = useAll("hoops", "no");
  const machines = useAll("machines", "no");
  const taking = (machines.data ?? []).filter((one) => one.kind !== "straight-stitch");
  return (
    <>
      <ChoiceField
        label="Hoop"
        value={body.hoopId ?? ""}
        onChange={(id) => set({ hoopId: id || null })}
        choices={[
          { value: "", words: "none" },
          ...(hoops.data ?? []).map((hoop) => ({ value: hoop.id, words: hoop.name })),
        ]}
      />
      <ManyChoice
        label="Machines"
        hint="None ticked allows every machine that takes the hoop."
        value={body.machineIds ?? []}
        onChange={(ids) => set({ machineIds: ids.length === 0 ? null : ids })}
        choices={taking.map((machine) => ({ value: machine.id, words: machine.name }))}
        none="No embroidery machine yet."
      />
    </>
  );
}

interface DesignChoiceProps {
  readonly chosen: string | null;
  readonly onChoose: (versionId: string | null, threadIds: (string | null)[]) => void;
}

function DesignChoice({ chosen, onChoose }: DesignChoiceProps) {
  const [words, setWords] = useState("");
  const found = useAnswer(
    "designs",
    "listDesigns",
    { query: { q: words, kind: "all", limit: 50, sort: "name" } },
    { keep: true },
  );
  const present = useAnswer(
    "designs",
    "readDesignVersion",
    { params: { id: chosen ?? "" } },
    { enabled: chosen !== null },
  );
  const latest = new Map((found.data?.items ?? []).map((design) => [design.latest.id, design]));
  const choices = [...latest].map(([value, design]) => ({ value, label: design.name }));
  if (chosen !== null && !latest.has(chosen))
    choices.unshift({
      value: chosen,
      label: present.data ? `${present.data.designName}, version ${present.data.version.number}` : "…",
    });
  return (
    <Select
      size="md"
      label="Design"
      searchable
      placeholder="Search by name"
      nothingFoundMessage="No design of that name"
      data={choices}
      value={chosen}
      onSearchChange={(typed) => setWords(choices.some((one) => one.label === typed) ? "" : typed)}
      filter={({ options }) => options}
      onChange={(id) => onChoose(id, latest.get(id ?? "")?.latest.parts.map((part) => part.threadId) ?? [])}
      comboboxProps={{ transitionProps: { duration: 0 } }}
    />
  );
}

/** Why it was not saved; what was typed stands as it is. */
function SaveTrouble({ trouble }: { readonly trouble: Trouble }) {
  const { detail, advice, errors } = trouble.problem;
  return (
    <div role="alert" className="caution">
      <b>{detail}</b> {advice}
      {errors?.map((one, index) => (
        <div key={index}>
          {one.field}: {one.found && `found ${one.found}`} {one.expected && `expected ${one.expected}`}
        </div>
      ))}
    </div>
  );
}
