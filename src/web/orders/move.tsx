import { Button, Checkbox, Modal, TextInput } from "@mantine/core";
import { useQueryClient } from "@tanstack/react-query";
import { useState } from "react";
import type { shapes } from "#contract";
import { nextStates, type PieceState, pieceStates } from "#core/shop";
import { ask } from "../client";
import { offerUndo, showTrouble } from "../parts/notices";
import { actWords, nextOnTheWay, piecesWords, stateWords } from "./words";

/** What one request may carry (contract, movePieces). */
const PORTION = 1000;

/** Moves pieces and offers the undo; what could not be moved is said. Gives whether all went through. */
export function useMovePieces() {
  const queries = useQueryClient();
  const [moving, setMoving] = useState(false);
  const move = async (
    pieces: readonly shapes.PieceRecord[],
    state: PieceState,
    more: { readonly why?: string; readonly remake?: boolean } = {},
  ): Promise<boolean> => {
    setMoving(true);
    try {
      for (let from = 0; from < pieces.length; from += PORTION) {
        const some = pieces.slice(from, from + PORTION);
        const told = await ask("movePieces", {
          body: {
            pieceIds: some.map((piece) => piece.id),
            state,
            why: more.why ?? "",
            remake: more.remake ?? true,
          },
        });
        const what = some.length === 1 ? `Piece ${some[0]!.code}` : piecesWords(some.length);
        const remakes = told.value.remakes.map((piece) => piece.code).join(", ");
        offerUndo(
          `${what}: ${stateWords[state]}.${remakes ? ` Made anew as ${remakes}.` : ""}`,
          told.changeId,
        );
      }
      return true;
    } catch (trouble) {
      showTrouble(trouble);
      return false;
    } finally {
      setMoving(false);
      for (const list of ["orders", "pieces", "plan"]) void queries.invalidateQueries({ queryKey: [list] });
    }
  };
  return { move, moving };
}

/** Asks where several pieces go; only those that can go there are moved, and it says how many. */
export function MoveMany({
  pieces,
  title,
  onClose,
}: {
  readonly pieces: readonly shapes.PieceRecord[];
  readonly title: string;
  readonly onClose: () => void;
}) {
  const [state, setState] = useState<PieceState | null>(null);
  const [why, setWhy] = useState("");
  const [remake, setRemake] = useState(true);
  const { move, moving } = useMovePieces();
  const able = (to: PieceState) => pieces.filter((piece) => nextStates(piece.state).includes(to));
  const choices = pieceStates.map((to) => ({ to, count: able(to).length })).filter(({ count }) => count > 0);
  const go = async () => {
    if (state !== null && (await move(able(state), state, { why, remake }))) onClose();
  };
  return (
    <Modal
      opened
      onClose={onClose}
      title={title}
      centered
      size="md"
      closeButtonProps={{ "aria-label": "Close", size: "xl" }}
      transitionProps={{ duration: 100 }}
      styles={{ title: { fontWeight: 700, fontSize: "1.125rem" } }}
    >
      {choices.length === 0 && (
        <p>None of these pieces can be moved by hand: all are shipped, spoiled or cancelled.</p>
      )}
      <div className="move-choices" role="radiogroup" aria-label="Where to">
        {choices.map(({ to, count }) => (
          <label key={to} className="move-choice">
            <input type="radio" name="move-to" checked={state === to} onChange={() => setState(to)} />
            <span>
              <b>{actWords[to]}</b>
              <span className="quiet">
                {count === pieces.length ? piecesWords(count) : `${count} of ${pieces.length} can go there`}
              </span>
            </span>
          </label>
        ))}
      </div>
      {state === "spoiled" && (
        <>
          <TextInput
            size="md"
            label="What happened"
            placeholder="thread nest, wrong place …"
            value={why}
            onChange={(event) => setWhy(event.currentTarget.value)}
            maxLength={300}
          />
          <Checkbox
            size="md"
            mt="sm"
            label="Make each of them anew"
            checked={remake}
            onChange={(event) => setRemake(event.currentTarget.checked)}
          />
        </>
      )}
      <div className="move-acts">
        <Button size="md" variant="default" onClick={onClose}>
          Leave them
        </Button>
        <Button size="md" disabled={state === null} loading={moving} onClick={() => void go()}>
          {state === null ? "Move" : `Move ${piecesWords(able(state).length)}`}
        </Button>
      </div>
    </Modal>
  );
}

/** One piece's buttons: the next step large, the rest in a list beside it. */
export function MoveOne({
  piece,
  onSpoil,
}: {
  readonly piece: shapes.PieceRecord;
  readonly onSpoil: () => void;
}) {
  const { move, moving } = useMovePieces();
  const next = nextOnTheWay(piece.state);
  const able = nextStates(piece.state);
  if (able.length === 0) return null;
  const others = able.filter((state) => state !== next);
  return (
    <div className="move-one">
      {next && able.includes(next) && (
        <Button
          size="md"
          loading={moving}
          onClick={() => void move([piece], next)}
          aria-label={`Piece ${piece.code}: ${actWords[next]}`}
        >
          {actWords[next]}
        </Button>
      )}
      {others.length > 0 && (
        <select
          className="plain-select"
          aria-label={`Move piece ${piece.code} elsewhere`}
          value=""
          disabled={moving}
          onChange={(event) => {
            const state = event.currentTarget.value as PieceState;
            if (state === "spoiled") onSpoil();
            else void move([piece], state);
          }}
        >
          <option value="" disabled>
            other …
          </option>
          {others.map((state) => (
            <option key={state} value={state}>
              {actWords[state]}
            </option>
          ))}
        </select>
      )}
    </div>
  );
}
