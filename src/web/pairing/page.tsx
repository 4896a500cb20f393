import type { Answer } from "#contract";
import { Button } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { useEffect, useState } from "react";
import { useAnswer } from "../asking";
import { TroubleSheet, Waiting } from "../parts/states";
import { PairingForm } from "./form";
import { wayOn } from "./way-on";
import "./pairing.css";

/** Where a tablet or phone is let in: a code from the computer's screen, a name of its own, and on to its page. */
export function PairingPage() {
  useEffect(() => {
    document.title = "Let this device in · Spoolwright";
  }, []);
  const [joined, setJoined] = useState<string | null>(null);
  const self = useAnswer("this-device", "thisDevice", {});
  // Read once: the address may be tidied while the page stands.
  const [on] = useState(() => wayOn(new URLSearchParams(location.search).get("to"), location.origin));
  const isInAlready = joined === null && self.data !== undefined;
  useEffect(() => {
    // A ticket scanned with the camera's own program may come without the cookie; from here it goes along.
    if (isInAlready && on !== null) location.replace(on);
  }, [isInAlready, on]);
  return (
    <main id="main" className="pairing" tabIndex={-1}>
      <Mark />
      {joined !== null ? (
        <IsIn name={joined} on={on} />
      ) : self.isPending || (isInAlready && on !== null) ? (
        <Waiting words="Looking whether this device is let in" />
      ) : self.data ? (
        <InAlready self={self.data} />
      ) : self.error.problem.status === 401 ? (
        <PairingForm wasTurnedOut={self.error.problem.code === "device-turned-out"} onJoined={setJoined} />
      ) : (
        <TroubleSheet trouble={self.error} onAgain={() => void self.refetch()} />
      )}
    </main>
  );
}

function InAlready({ self }: { readonly self: Answer<"thisDevice"> }) {
  if (!self.thisComputer) return <IsIn name={self.name} on={null} />;
  return (
    <section className="sheet pairing-sheet">
      <h1>This computer needs no code</h1>
      <p>Tablets and phones are let in from here: their code is shown in Studio.</p>
      <div className="pairing-ways">
        <Button component={Link} to="/studio" search={{ leaf: "devices" } as never} size="lg">
          Tablets and phones
        </Button>
        <Button component={Link} to="/" size="lg" variant="default">
          Today
        </Button>
      </div>
    </section>
  );
}

/** In: which page this device is for. */
function IsIn({ name, on }: { readonly name: string; readonly on: string | null }) {
  const machines = useAnswer("machines", "machines.list", {});
  const people = useAnswer("people", "people.list", {});
  const open = <T extends { readonly archived: boolean }>(items: readonly T[] | undefined) =>
    (items ?? []).filter((one) => !one.archived);
  return (
    <section className="sheet pairing-sheet">
      <h1>{name} is in</h1>
      <p>What is told and changed here is noted under this name. Choose the page it is for:</p>
      <div className="pairing-ways">
        {on !== null && (
          <Button component="a" href={on} size="lg">
            On to the page you wanted
          </Button>
        )}
        <Button component={Link} to="/" size="lg" variant={on === null ? "filled" : "default"}>
          Today
        </Button>
      </div>
      <Ways title="The station at a machine" of={open(machines.data?.items)} at="/station/" />
      <Ways title="The page for a pair of hands" of={open(people.data?.items)} at="/hands/" />
      {!window.isSecureContext && (
        <p className="pairing-caution">
          Over this connection a browser does not let a page keep the screen awake. In this device’s own
          settings, let the screen stay on as long as it can, and leave it at its charger.
        </p>
      )}
    </section>
  );
}

function Ways({
  title,
  of,
  at,
}: {
  readonly title: string;
  readonly of: readonly { readonly id: string; readonly name: string }[];
  readonly at: "/station/" | "/hands/";
}) {
  if (of.length === 0) return null;
  return (
    <nav aria-label={title}>
      <h2>{title}</h2>
      <div className="pairing-ways">
        {of.map(({ id, name }) => (
          <Button
            key={id}
            component={Link}
            to={`${at}$id` as "/station/$id"}
            params={{ id } as never}
            size="lg"
            variant="default"
          >
            {" "}
            {/* prettier-ignore */}
            {name}
          </Button>
        ))}
      </div>
    </nav>
  );
}

/** Three stitches in a row, as before the studio's name; the name itself is nobody's business yet. */
const Mark = () => (
  <p className="pairing-mark">
    <svg viewBox="0 0 30 12" width="40" height="16" aria-hidden>
      <path d="M2 7.5 8 5M11.5 7.5l6-2.5M21 7.5 27 5" strokeWidth="3.4" strokeLinecap="round" />
    </svg>
    Spoolwright
  </p>
);
