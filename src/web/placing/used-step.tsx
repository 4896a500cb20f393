import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useChange } from "../asking";
import { saveFile } from "../parts/save-file";
import { Detail } from "./give-ways";
import { errorWords, type Placing } from "./marks";
import type { Place } from "./use-place";

/** It is placed: what the machine has now, and back to the station. */
export function UsedStep({ place }: { readonly place: Place }) {
  const { used, machine, known } = place;
  const withdraw = useChange("withdrawPlacing", {
    lists: ["placing", "pieces", "plan", "floor"],
    done: "The placing was withdrawn; the station’s file is the design’s own again.",
  });
  if (!used) return null;
  const way = used.result.ways.find((one) => one.give === used.give)!;
  const [mm, degrees] = errorWords(way.errorMm, way.errorDeg);
  return (
    <section className="place-used sheet" aria-label="Placed">
      <h2>
        {used.give === "enter" ? "To enter at" : "Ready for"} {machine?.name}
      </h2>
      <p className="place-error-large">
        <span>{mm}</span> <span>{degrees}</span>
      </p>
      {used.inForce ? (
        <p>{fileWords(used)}</p>
      ) : (
        <p className="caution">
          It is kept, but does not count yet: {used.notInForceWhy}.{" "}
          {known.job.sewn
            ? "Take “sewn” back at the station, or move the piece back to sewing, and the machine’s bundle has it."
            : "The machine’s bundle has the design’s own file."}
        </p>
      )}
      <p>
        <Detail way={way} />
      </p>
      {known.cautions.map((words) => (
        <p key={words} className="caution">
          {words}
        </p>
      ))}
      <div className="place-acts">
        <Button size="xl" component={Link} to={`/station/${place.machineId}`}>
          Back to {machine?.name}
        </Button>
        <Button size="lg" variant="default" onClick={() => void saveFile("placedFile", { id: used.id })}>
          Save the machine file
        </Button>
        <Button size="lg" variant="default" component={Link} to={`/pieces/${used.pieceId}`}>
          The piece
        </Button>
        <Button
          size="lg"
          variant="subtle"
          loading={withdraw.isPending}
          onClick={() =>
            withdraw.mutate(
              { params: { id: used.id }, version: used.version },
              { onSuccess: () => place.setStep("photo") },
            )
          }
        >
          Withdraw it
        </Button>
      </div>
    </section>
  );
}

const fileWords = ({ give, kind, result }: Placing): string =>
  kind === "again"
    ? `The machine’s bundle holds the rest from stitch ${(result.remains?.fromStitch ?? 1).toLocaleString("en-GB")}, turned and shifted.`
    : give === "enter"
      ? "The machine’s bundle holds the design as it was; angle and shift are entered at the machine."
      : "The machine’s bundle holds the design turned and shifted, under the same name.";
