import type { shapes } from "#contract";
import { Button, NumberInput } from "@mantine/core";
import { useState } from "react";
import { useAnswer } from "../../asking";
import { TroubleSheet, Waiting } from "../../parts/states";

/** When to take which machine to its service: asked for by a press, since each proposal is weighed by a plan. */
export function Trips({ machines }: { readonly machines: readonly shapes.CareOfMachine[] }) {
  const [travelHours, setTravelHours] = useState(2);
  const [asked, setAsked] = useState<number | null>(null);
  const trips = useAnswer(
    "care",
    "serviceTrips",
    { query: { travelHours: asked ?? 0 } },
    { enabled: asked !== null },
  );
  return (
    <section className="sheet care-trips">
      <h2>The trip to service</h2>
      <p className="quiet">
        When to take which machine away, so that no order leaves late because of it. A multi-needle machine is
        a two-person lift{" "}
        {machines.some((machine) => machine.lifting === null && machine.kind !== "straight-stitch") &&
          "(enter its weight on its record for the figures)"}
        .
      </p>
      <div className="care-acts" style={{ alignItems: "end", marginLeft: 0 }}>
        <NumberInput
          label="On the road for one trip"
          suffix=" h"
          min={0}
          max={48}
          value={travelHours}
          onChange={(value) => typeof value === "number" && setTravelHours(value)}
          w={220}
        />
        <Button size="md" onClick={() => setAsked(travelHours)} loading={trips.isFetching}>
          Find good days
        </Button>
      </div>
      {machines.map(
        (machine) =>
          machine.lifting && (
            <p key={machine.machineId} className="care-caution">
              <b>{machine.name}</b>: {machine.lifting}
            </p>
          ),
      )}
      {trips.isError && <TroubleSheet trouble={trips.error} onAgain={() => void trips.refetch()} />}
      {asked !== null && trips.isLoading && <Waiting words="Planning the work with machines away" />}
      {trips.data && trips.data.proposals.length === 0 && (
        <p>
          No service falls due within 90 days
          {machines.some((machine) => machine.service?.hoursPerWeek === null)
            ? ", as far as it is known: some machines have not sewn enough yet."
            : "."}
        </p>
      )}
      {trips.data?.proposals.map((proposal, at) => (
        <article key={at} className="care-trip">
          {proposal.trips.map((trip) => (
            <p key={trip.sentence}>
              <b>{trip.sentence}</b>
            </p>
          ))}
          <ul>
            {proposal.reasons.map((reason) => (
              <li key={reason}>{reason}</li>
            ))}
          </ul>
        </article>
      ))}
    </section>
  );
}
