import { Button, Select, TextInput } from "@mantine/core";
import type { shapes } from "#contract";
import { isClosed } from "#core/shop";
import { useState } from "react";
import { useAnswer, useChange } from "../asking";

type Wish = Partial<Pick<shapes.PieceRecord, "urgency" | "heldWhy" | "pinnedMachineId" | "waitingFor">>;

const waitingWords = { stock: "stock", artwork: "artwork", approval: "the customer’s yes" } as const;

/** What a person asks of the plan for one piece: which machine, how soon, held back, waiting. The next plan obeys. */
export function PieceWishes({ piece }: { readonly piece: shapes.PieceRecord }) {
  const machines = useAnswer("machines", "machines.list", {});
  const change = useChange("changePiece", {
    lists: ["pieces", "orders", "plan"],
    done: `${piece.code} changed`,
  });
  const [holding, setHolding] = useState(false);
  const [why, setWhy] = useState("");
  if (isClosed(piece.state)) return null;
  const wish = (next: Wish) => {
    setHolding(false);
    change.mutate({
      params: { id: piece.id },
      version: piece.version,
      body: {
        urgency: piece.urgency,
        heldWhy: piece.heldWhy,
        pinnedMachineId: piece.pinnedMachineId,
        waitingFor: piece.waitingFor,
        ...next,
      },
    });
  };
  const allowed = piece.jobs.flatMap((job) => job.machineIds ?? []);
  const choices = (machines.data?.items ?? []).filter(
    (machine) => machine.kind !== "straight-stitch" && (allowed.length === 0 || allowed.includes(machine.id)),
  );
  return (
    <div className="wishes">
      {piece.urgency === "held" && (
        <p className="wishes-words">
          Held back{piece.heldWhy && `: ${piece.heldWhy}`}. It is left out of the plan.
        </p>
      )}
      {piece.urgency === "first" && (
        <p className="wishes-words">Pulled first: nothing on its machine begins before it.</p>
      )}
      <div className="moves-row">
        {piece.urgency !== "first" && (
          <Button
            variant="default"
            className="move-small"
            disabled={change.isPending}
            onClick={() => wish({ urgency: "first", heldWhy: "" })}
          >
            Pull first
          </Button>
        )}
        {piece.urgency !== "held" && (
          <Button
            variant="default"
            className="move-small"
            disabled={change.isPending}
            aria-expanded={holding}
            onClick={() => setHolding(!holding)}
          >
            Hold back …
          </Button>
        )}
        {piece.urgency !== "normal" && (
          <Button
            variant="default"
            className="move-small"
            disabled={change.isPending}
            onClick={() => wish({ urgency: "normal", heldWhy: "" })}
          >
            Back to normal
          </Button>
        )}
      </div>
      {holding && (
        <form
          className="why-form"
          onSubmit={(event) => {
            event.preventDefault();
            if (why.trim() !== "") wish({ urgency: "held", heldWhy: why.trim() });
          }}
        >
          <TextInput
            label="Why is it held back?"
            value={why}
            onChange={(event) => setWhy(event.currentTarget.value)}
            maxLength={200}
            autoFocus
            required
          />
          <div className="moves-row">
            <Button type="submit" className="move-small" disabled={why.trim() === ""}>
              Hold it back
            </Button>
            <Button variant="default" className="move-small" onClick={() => setHolding(false)}>
              Leave it
            </Button>
          </div>
        </form>
      )}
      <Select
        label="Pinned to a machine"
        description="The plan puts it there and nowhere else."
        placeholder="the plan chooses"
        clearable
        disabled={change.isPending || machines.isPending}
        value={piece.pinnedMachineId}
        onChange={(machineId) => wish({ pinnedMachineId: machineId })}
        data={choices.map((machine) => ({ value: machine.id, label: machine.name }))}
      />
      {(piece.state === "waiting" || piece.state === "ready") && (
        <Select
          label="Waits for"
          placeholder="nothing, it can be sewn"
          clearable
          disabled={change.isPending}
          value={piece.waitingFor}
          onChange={(what) => wish({ waitingFor: what as Wish["waitingFor"] })}
          data={Object.entries(waitingWords).map(([value, label]) => ({ value, label }))}
        />
      )}
    </div>
  );
}
