import { Button, TextInput } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { useNavigate } from "@tanstack/react-router";
import { useState } from "react";
import { ask, Trouble } from "../../client";
import { offerUndo } from "../../parts/notices";
import type { MakingStart } from "./frame";
import { type Making, sewable } from "./making";

/** Keeps what is on the frame, as a new design or as a version of the one it came from. */
export function SaveCard({
  making,
  ready,
  from,
  proposed,
}: {
  readonly making: Making;
  readonly ready: boolean;
  readonly from: MakingStart["from"];
  readonly proposed: string;
}) {
  const [name, setName] = useState<string | null>(null);
  const [saving, setSaving] = useState(false);
  const [wrong, setWrong] = useState<string | null>(null);
  const navigate = useNavigate();
  const queries = useQueryClient();
  const title = (name ?? proposed).trim().slice(0, 120);
  const save = async (into: string | null) => {
    setSaving(true);
    setWrong(null);
    try {
      const { value, changeId } = await ask("saveMaking", {
        body: {
          making: sewable(making),
          name: title || from?.name || "Design",
          into,
        },
      });
      void queries.invalidateQueries({ queryKey: ["designs"] });
      offerUndo(
        into === null
          ? `Design ${title} is kept.`
          : `Version ${value.version.number} of ${from?.name} is kept.`,
        changeId,
      );
      await navigate({ to: "/designs/$id", params: { id: value.designId } });
    } catch (reason) {
      const problem = reason instanceof Trouble ? reason.problem : null;
      setWrong(problem ? `${problem.detail} ${problem.advice}` : String(reason));
    } finally {
      setSaving(false);
    }
  };
  return (
    <section className="making-card sheet making-save" aria-labelledby="keep-head">
      <h2 id="keep-head">Keep it</h2>
      <TextInput
        size="md"
        label="Name of the design"
        value={name ?? proposed}
        onChange={(event) => setName(event.currentTarget.value)}
        maxLength={120}
      />
      {wrong && (
        <p role="alert" className="making-wrong">
          {wrong}
        </p>
      )}
      <div className="making-adds">
        {from && (
          <Button size="md" loading={saving} disabled={!ready} onClick={() => void save(from.designId)}>
            Save as a new version
          </Button>
        )}
        <Button
          size="md"
          variant={from ? "default" : "filled"}
          loading={saving}
          disabled={!ready || title === ""}
          onClick={() => void save(null)}
        >
          Save as a design
        </Button>
      </div>
      <p className="quiet making-note">
        {from
          ? `Goes on from version ${from.number} of ${from.name}; no version is ever overwritten.`
          : "It can then be used in products and orders as any design."}
      </p>
    </section>
  );
}
