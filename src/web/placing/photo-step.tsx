import { Button, NativeSelect } from "@mantine/core";
import { Link } from "@tanstack/react-router";
import { type ReactNode, useId } from "react";
import { useAnswer } from "../asking";
import { QrCode } from "../parts/qr-code";
import { Waiting } from "../parts/states";
import { HabitLine } from "./habit-line";
import { TroubleNote } from "./trouble-note";
import type { Place } from "./use-place";

/** The photo: taken, chosen, or left out for a tape measure. */
export function PhotoStep({ place }: { readonly place: Place }) {
  const { known, again, doing, trouble } = place;
  const isTaught = known.taughtHoops.some((one) => one.taught !== null);
  return (
    <div className="place-columns">
      <section className="place-main" aria-label="Take a photo">
        {doing ? (
          <Waiting words={doing} />
        ) : (
          <>
            {known.hoop && !again && (
              <HabitLine
                personId={place.personId}
                hoopId={known.hoop.id}
                productId={known.rule.productId}
                hoopName={known.hoop.name}
              />
            )}
            <HowToHold isTaught={isTaught} />
            {trouble && <TroubleNote trouble={trouble} />}
            <div className="place-acts">
              <FileButton look="filled" capture onFile={place.takePhoto}>
                Take a photo
              </FileButton>
              <FileButton look="default" onFile={place.takePhoto}>
                Choose a photo
              </FileButton>
            </div>
            {place.opened && (
              <Button
                size="lg"
                variant="default"
                onClick={() => place.setStep(place.cloth ? "touch" : "hoop")}
              >
                Go on with the photo from before
              </Button>
            )}
            <Button size="lg" variant="subtle" onClick={place.measureByTape}>
              Without a photo: by tape measure
            </Button>
          </>
        )}
        <WhichWay place={place} />
      </section>
      <aside className="place-aside" aria-label="About this placing">
        {known.cautions.map((words) => (
          <p key={words} className="caution">
            {words}
          </p>
        ))}
        <Choices place={place} />
        <OnThePhone />
        <Before place={place} />
      </aside>
    </div>
  );
}

function HowToHold({ isTaught }: { readonly isTaught: boolean }) {
  return (
    <>
      <svg className="place-hold" viewBox="0 0 240 120" aria-hidden>
        <rect x="58" y="84" width="124" height="14" rx="7" className="place-hold-hoop" />
        <path d="M70 84h100" className="place-hold-cloth" />
        <rect x="96" y="10" width="48" height="8" rx="3" className="place-hold-phone" />
        <path d="M104 20 60 82M136 20l44 62" className="place-hold-sight" />
      </svg>
      <h2>From above, the whole hoop in the picture</h2>
      <p>
        {isTaught
          ? "Every marker of the hoop in sight, the light even, the phone 40 to 60 cm above. A little slanted does no harm."
          : "All four inner edges of the hoop in sight, the phone 40 to 60 cm above and as straight over it as you can."}
      </p>
    </>
  );
}

/** A button that opens the camera or the pictures; an input, so that it works on a plain http page too. */
export function FileButton({
  children,
  capture = false,
  look,
  onFile,
}: {
  readonly children: ReactNode;
  readonly capture?: boolean;
  readonly look: "filled" | "default";
  readonly onFile: (file: File) => unknown;
}) {
  const id = useId();
  return (
    <span className={`place-file place-file-${look}`}>
      <input
        id={id}
        type="file"
        accept="image/*"
        capture={capture ? "environment" : undefined}
        onChange={(event) => {
          const file = event.currentTarget.files?.[0];
          // The same photo may be chosen again after trouble.
          event.currentTarget.value = "";
          if (file) onFile(file);
        }}
      />
      <label htmlFor={id}>{children}</label>
    </span>
  );
}

function WhichWay({ place }: { readonly place: Place }) {
  const { known, again } = place;
  const { job, begun } = known;
  return (
    <p className="place-other">
      {again ? (
        <>
          This finds a part that is sewn already.{" "}
          <Link to="/place/$id" params={{ id: job.id }}>
            Nothing is sewn yet: place it
          </Link>
        </>
      ) : (
        <>
          {begun !== null && begun.stitches > 0 && "Sewing has begun on this run. "}
          <Link to="/place/$id" params={{ id: job.id }} search={{ again: "yes" } as never}>
            The piece was taken out: back onto it
          </Link>
        </>
      )}
    </p>
  );
}

function Choices({ place }: { readonly place: Place }) {
  const { known } = place;
  return (
    <div className="place-choices">
      {known.machines.length > 1 && (
        <NativeSelect
          size="md"
          label="Machine"
          value={place.machineId}
          onChange={(event) => place.setMachine(event.currentTarget.value)}
          data={known.machines.map(({ id, name, planned }) => ({
            value: id,
            label: planned ? `${name} (planned)` : name,
          }))}
        />
      )}
      <NativeSelect
        size="md"
        label="This phone"
        description="a lens that was measured makes the answer surer"
        value={place.phoneId ?? ""}
        onChange={(event) => place.setPhone(event.currentTarget.value || null)}
        data={[
          { value: "", label: "not measured yet" },
          ...known.phones.map(({ id, name, lens }) => ({
            value: id,
            label: lens ? name : `${name} (lens not measured)`,
          })),
        ]}
      />
      <NativeSelect
        size="md"
        label="Who hooped it"
        value={place.personId ?? ""}
        onChange={(event) => place.setPerson(event.currentTarget.value || null)}
        data={[
          { value: "", label: "nobody named" },
          ...known.people.map(({ id, name }) => ({ value: id, label: name })),
        ]}
      />
      <NativeSelect
        size="md"
        label="Hooping aid"
        description="so that its worth can be read later"
        value={place.aid ?? ""}
        onChange={(event) => place.setAid(event.currentTarget.value || null)}
        data={[
          { value: "", label: "none" },
          { value: "board", label: "a board" },
          { value: "template", label: "a template" },
        ]}
      />
      <p className="quiet">
        <Link to="/machines" search={{ leaf: "placing" } as never}>
          Teach a hoop or measure a phone
        </Link>
      </p>
    </div>
  );
}

/** The same page on a phone: its address as a code, where the studio's network reaches this computer. */
function OnThePhone() {
  const self = useAnswer("this-device", "thisDevice", {});
  const devices = useAnswer("devices", "listDevices", {}, { enabled: self.data?.thisComputer === true });
  const origin = devices.data?.origin ?? null;
  if (origin === null) return null;
  const address = `${origin}${location.pathname}${location.search}`;
  return (
    <div className="place-phone">
      <QrCode text={address} label={`This page on a phone: ${address}`} />
      <p className="quiet">Open this page on a phone that was let in.</p>
    </div>
  );
}

/** What was placed before, with the newest first. */
function Before({ place }: { readonly place: Place }) {
  const { placings } = place.known;
  if (placings.length === 0) return null;
  return (
    <details className="place-before">
      <summary>Placed before ({placings.length})</summary>
      <ul>
        {placings.map((one) => (
          <li key={one.id}>
            {new Date(one.atMs).toLocaleString()} {one.who && `· ${one.who}`}:{" "}
            {one.inForce ? <b>the machine’s file now</b> : one.notInForceWhy}
          </li>
        ))}
      </ul>
    </details>
  );
}
