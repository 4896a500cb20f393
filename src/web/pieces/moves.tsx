import { Button, Checkbox, Select, Textarea } from "@mantine/core";
import { useLocalStorage } from "@mantine/hooks";
import type { shapes } from "#contract";
import { nextStates, type PieceState } from "#core/shop";
import { useState } from "react";
import { useAnswer, useChange } from "../asking";
import "./moves.css";

export const stateWords: Record<PieceState, string> = {
  waiting: "waiting",
  ready: "ready to sew",
  hooped: "hooped",
  sewing: "sewing",
  finishing: "finishing",
  done: "done",
  packed: "packed",
  shipped: "shipped",
  spoiled: "spoiled",
  cancelled: "cancelled",
};

const toWords: Record<PieceState, string> = {
  waiting: "Put on wait",
  ready: "Back to ready",
  hooped: "Hooped",
  sewing: "Start sewing",
  finishing: "Sewn, finishing",
  done: "Done",
  packed: "Packed",
  shipped: "Shipped",
  spoiled: "Spoiled …",
  cancelled: "Cancel the piece …",
};

/** The usual step onward; the one button that stands out. */
const usual: Partial<Record<PieceState, PieceState>> = {
  waiting: "ready",
  ready: "sewing",
  hooped: "sewing",
  sewing: "done",
  finishing: "done",
  done: "packed",
  packed: "shipped",
  cancelled: "ready",
};

const order: readonly PieceState[] = [
  "waiting",
  "ready",
  "hooped",
  "sewing",
  "finishing",
  "done",
  "packed",
  "shipped",
  "spoiled",
  "cancelled",
];

/** What can be done with a piece from where it stands, by hand. Spoiling and cancelling ask why first. */
export function StateMoves({
  piece,
  machineId = null,
}: {
  readonly piece: shapes.PieceRecord;
  readonly machineId?: string | null;
}) {
  const people = useAnswer("people", "people.list", {});
  const [personId, setPersonId] = useLocalStorage<string | null>({
    key: "spoolwright-by",
    defaultValue: null,
  });
  const [asking, setAsking] = useState<PieceState | null>(null);
  const move = useChange("movePieces", {
    lists: ["pieces", "orders", "plan"],
    done: ({ pieces, remakes }) =>
      `${piece.code} is ${stateWords[pieces[0]?.state ?? piece.state]}${remakes[0] ? `; ${remakes[0].code} is its remake` : ""}`,
  });
  const known = people.data?.items.some((person) => person.id === personId) ? personId : null;
  const to = (state: PieceState, more: { why?: string; remake?: boolean } = {}) => {
    setAsking(null);
    move.mutate({
      body: {
        pieceIds: [piece.id],
        state,
        personId: known,
        machineId: state === "sewing" ? machineId : null,
        ...more,
      },
    });
  };
  // Waiting is said with what it waits for, among the wishes.
  const states = order.filter((state) => state !== "waiting" && nextStates(piece.state).includes(state));
  const main = usual[piece.state];
  const isBack = (state: PieceState) => order.indexOf(state) < order.indexOf(piece.state) && state !== main;
  const onward = states.filter(
    (state) => state !== main && !isBack(state) && state !== "spoiled" && state !== "cancelled",
  );
  const back = states.filter((state) => isBack(state));
  const words = (state: PieceState) =>
    isBack(state) ? `Back to ${stateWords[state]}` : state === "ready" ? "Ready to sew" : toWords[state];
  return (
    <div className="moves">
      {states.length === 0 && (
        <p className="quiet">
          {piece.state === "spoiled"
            ? "A spoiled piece is not revived; its remake goes on."
            : "Nothing more happens to this piece."}
        </p>
      )}
      <div className="moves-row">
        {main && states.includes(main) && (
          <Button
            size="lg"
            color="leaf"
            className="move move-main"
            disabled={move.isPending}
            onClick={() => to(main)}
          >
            {words(main)}
          </Button>
        )}
        {onward.map((state) => (
          <Button
            key={state}
            size="lg"
            variant="default"
            className="move"
            disabled={move.isPending}
            onClick={() => to(state)}
          >
            {words(state)}
          </Button>
        ))}
        {states.includes("spoiled") && (
          <Button
            size="lg"
            variant="outline"
            color="brick"
            className="move move-spoiled"
            disabled={move.isPending}
            aria-expanded={asking === "spoiled"}
            onClick={() => setAsking(asking === "spoiled" ? null : "spoiled")}
          >
            {toWords.spoiled}
          </Button>
        )}
      </div>
      {asking && (
        <WhyForm
          key={asking}
          state={asking}
          onSay={(more) => to(asking, more)}
          onLeave={() => setAsking(null)}
        />
      )}
      <div className="moves-row">
        {back.map((state) => (
          <Button
            key={state}
            variant="default"
            className="move-small"
            disabled={move.isPending}
            onClick={() => to(state)}
          >
            {words(state)}
          </Button>
        ))}
        {states.includes("cancelled") && (
          <Button
            variant="default"
            className="move-small"
            disabled={move.isPending}
            aria-expanded={asking === "cancelled"}
            onClick={() => setAsking(asking === "cancelled" ? null : "cancelled")}
          >
            {toWords.cancelled}
          </Button>
        )}
      </div>
      {people.data && people.data.items.length > 0 && states.length > 0 && (
        <Select
          label="Done by"
          placeholder="nobody named"
          clearable
          className="moves-by"
          value={known}
          onChange={setPersonId}
          data={people.data.items.map((person) => ({ value: person.id, label: person.name }))}
        />
      )}
    </div>
  );
}

function WhyForm({
  state,
  onSay,
  onLeave,
}: {
  readonly state: PieceState;
  readonly onSay: (more: { why: string; remake: boolean }) => void;
  readonly onLeave: () => void;
}) {
  const [why, setWhy] = useState("");
  const [remake, setRemake] = useState(true);
  const spoiled = state === "spoiled";
  return (
    <form
      className="why-form"
      onSubmit={(event) => {
        event.preventDefault();
        onSay({ why: why.trim(), remake: spoiled && remake });
      }}
    >
      <Textarea
        label={spoiled ? "What spoiled it?" : "Why is it cancelled?"}
        description={
          spoiled
            ? "A broken needle, a hoop mark, a wrong name: it helps to keep it from happening again."
            : undefined
        }
        maxLength={200}
        autosize
        minRows={2}
        value={why}
        onChange={(event) => setWhy(event.currentTarget.value)}
        data-autofocus
        autoFocus
      />
      {spoiled && (
        <Checkbox
          label="Make it again: a new piece takes its place in the order and in the plan"
          checked={remake}
          onChange={(event) => setRemake(event.currentTarget.checked)}
          size="md"
        />
      )}
      <div className="moves-row">
        <Button type="submit" color="brick" className="move-small">
          {spoiled ? "It is spoiled" : "Cancel the piece"}
        </Button>
        <Button variant="default" className="move-small" onClick={onLeave}>
          Leave it
        </Button>
      </div>
    </form>
  );
}
