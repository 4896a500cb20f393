import type { shapes } from "#contract";
import { Button, TextInput } from "@mantine/core";
import { type FormEvent, useState } from "react";
import { useChange } from "../asking";
import { useHabits } from "../parts/quantity";

type Device = shapes.Device;

/** Who is let in, when each was last seen; a name can be changed, and each can be turned out. */
export function DeviceList({
  devices,
  title = "Let in",
}: {
  readonly devices: readonly Device[];
  readonly title?: string;
}) {
  return (
    <section className="sheet devices-sheet" aria-label={title}>
      <h2>
        {title} <span className="quiet">{devices.length === 0 ? "" : devices.length}</span>
      </h2>
      {devices.length === 0 ? (
        <p className="quiet">No tablet and no phone yet.</p>
      ) : (
        <ul className="devices-list">
          {devices.map((device) => (
            <DeviceLine key={device.id} device={device} />
          ))}
        </ul>
      )}
    </section>
  );
}

function DeviceLine({ device }: { readonly device: Device }) {
  const [doing, setDoing] = useState<"nothing" | "renaming" | "turning-out">("nothing");
  const done = () => setDoing("nothing");
  return (
    <li className="devices-line">
      {doing === "renaming" ? (
        <RenameForm device={device} onDone={done} />
      ) : (
        <>
          <span className="devices-name">
            <strong>{device.name}</strong>
            <LastSeen device={device} />
          </span>
          {doing === "turning-out" ? (
            <TurnOut device={device} onDone={done} />
          ) : (
            <span className="devices-acts">
              <Button
                size="md"
                variant="default"
                onClick={() => setDoing("renaming")}
                aria-label={`Rename ${device.name}`}
              >
                Rename
              </Button>
              <Button
                size="md"
                variant="default"
                onClick={() => setDoing("turning-out")}
                aria-label={`Turn out ${device.name}`}
              >
                Turn out
              </Button>
            </span>
          )}
        </>
      )}
    </li>
  );
}

function LastSeen({ device }: { readonly device: Device }) {
  const { timeZone } = useHabits();
  const when = new Intl.DateTimeFormat(undefined, {
    timeZone,
    ...{ weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" },
  } as const);
  const time = (atMs: number) => <time dateTime={new Date(atMs).toISOString()}>{when.format(atMs)}</time>;
  return (
    <span className="quiet">
      {device.open ? "open now" : <>last seen {time(device.lastSeenAtMs)}</>} · let in{" "}
      {time(device.pairedAtMs)}
    </span>
  );
}

function RenameForm({ device, onDone }: { readonly device: Device; readonly onDone: () => void }) {
  const [name, setName] = useState(device.name);
  const rename = useChange("renameDevice", { lists: ["devices"], quiet: true });
  const save = (event: FormEvent) => {
    event.preventDefault();
    rename.mutate({ params: { id: device.id }, body: { name: name.trim() } }, { onSuccess: onDone });
  };
  const problem = rename.error?.problem;
  return (
    <form className="devices-rename" onSubmit={save}>
      <TextInput
        size="md"
        label={`New name of ${device.name}`}
        value={name}
        maxLength={60}
        onChange={(event) => setName(event.currentTarget.value)}
        error={problem ? `${problem.detail} ${problem.advice}` : undefined}
        autoComplete="off"
      />
      <span className="devices-acts">
        <Button type="submit" size="md" disabled={name.trim() === ""} loading={rename.isPending}>
          Save
        </Button>
        <Button size="md" variant="default" onClick={onDone}>
          Leave it
        </Button>
      </span>
    </form>
  );
}

/** Asked once more: a station may be in the middle of a piece. */
function TurnOut({ device, onDone }: { readonly device: Device; readonly onDone: () => void }) {
  const turnOut = useChange("turnOutDevice", { lists: ["devices"] });
  return (
    <span className="devices-turn-out" role="group" aria-label={`Turn out ${device.name}?`}>
      <span>
        Its pages close at once. What it told and has not sent stays on it until it is let in again.
      </span>
      <span className="devices-acts">
        <Button
          size="md"
          color="brick"
          loading={turnOut.isPending}
          onClick={() => turnOut.mutate({ params: { id: device.id } }, { onError: onDone })}
        >
          Turn {device.name} out
        </Button>
        <Button size="md" variant="default" onClick={onDone}>
          Leave it in
        </Button>
      </span>
    </span>
  );
}
