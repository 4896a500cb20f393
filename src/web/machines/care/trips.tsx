import type { shapes } from "#contract";
import { Button, NumberInput } from "@mantine/core";
import { useMemo, useState } from "react";
import { useAnswer, useChange } from "../../asking";
import { TroubleSheet, Waiting } from "../../parts/states";
import { TripWeek } from "./trip-week";

/** When to take which machine to its service: asked for by a press, since each proposal is weighed by a plan. */
export function Trips({ machines }: { readonly machines: readonly shapes.CareOfMachine[] }) {
  const names = useMemo(() => new Map(machines.map((one) => [one.machineId, one.name])), [machines]);
  const [travelHours, setTravelHours] = useState(2);
  const [asked, setAsked] = useState<number | null>(null);
  const trips = useAnswer(
    "care",
    "serviceTrips",
    { query: { travelHours: asked ?? 0 } },
    { enabled: asked !== null },
  );
  const studio = useAnswer("studio", "readStudio", {});
  const timeZone = studio.data?.timeZone ?? "UTC";
  const take = useChange("takeTrips", {
    lists: ["machines", "care", "plan"],
    done: ({ machineIds }) =>
      `${machineIds.map((id) => names.get(id) ?? "A machine").join(" and ")}: laid into the week. The plan follows.`,
  });
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
      {trips.data?.isPlanned === false && trips.data.proposals.length > 0 && (
        <p className="quiet">There is no plan of the open work: what a trip does to orders is not known.</p>
      )}
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
          <TripWeek trips={proposal.trips} names={names} today={trips.data.today} timeZone={timeZone} />
          <ul>
            {proposal.reasons.map((reason) => (
              <li key={reason}>{reason}</li>
            ))}
          </ul>
          <Button
            size="md"
            variant={at === 0 ? "filled" : "default"}
            loading={take.isPending}
            onClick={() =>
              take.mutate(
                {
                  body: {
                    trips: proposal.trips.map(({ machineIds, leaveOn, backOn }) => ({
                      machineIds: [...machineIds],
                      leaveOn,
                      backOn,
                    })),
                  },
                },
                { onSuccess: () => setAsked(null) },
              )
            }
          >
            Take it
          </Button>
        </article>
      ))}
    </section>
  );
}
