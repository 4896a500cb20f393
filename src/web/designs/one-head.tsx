import { Button } from "@mantine/core";
import { useState } from "react";
import { rows, type shapes } from "#contract";
import { useChange } from "../asking";
import { addressOf } from "../client";
import { checkBody } from "../parts/field-errors";
import { TextField } from "../parts/form";

export function HeadActs({
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

export function NameForm({
  design,
  onDone,
}: {
  readonly design: shapes.DesignRecord;
  readonly onDone: () => void;
}) {
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
