import { Button } from "@mantine/core";

/** Stands at the foot while something typed is not saved yet. */
export function SaveBar({
  changed,
  isSaving,
  onSave,
  onDrop,
  saveWords = "Save",
}: {
  readonly changed: boolean;
  readonly isSaving: boolean;
  readonly onSave: () => void;
  readonly onDrop: () => void;
  readonly saveWords?: string;
}) {
  if (!changed) return null;
  return (
    <div className="costs-save sheet">
      <span role="status">Not saved yet.</span>
      <Button size="md" variant="default" onClick={onDrop}>
        As it was
      </Button>
      <Button size="md" loading={isSaving} onClick={onSave}>
        {saveWords}
      </Button>
    </div>
  );
}
