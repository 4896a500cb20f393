import type { shapes } from "#contract";
import { useEffect } from "react";
import { useAnswer } from "../asking";
import { Empty, TroubleSheet, Waiting } from "../parts/states";
import { DeviceList } from "./devices-list";
import { DevicesOffer } from "./devices-offer";
import "./devices.css";

/** Which device has a page open is asked for so often: ms. */
const LOOK_MS = 10_000;

/** Which tablets and phones of the studio's own network are let in, and how one comes in. */
export function Devices() {
  const now = useAnswer("devices", "listDevices", {});
  const { refetch } = now;
  useEffect(() => {
    const looking = window.setInterval(() => void refetch(), LOOK_MS);
    return () => window.clearInterval(looking);
  }, [refetch]);
  if (now.data) return now.data.lan ? <Open now={now.data} /> : <Closed now={now.data} />;
  if (!now.isError) return <Waiting words="Looking who is let in" />;
  if (now.error.problem.code === "only-at-the-computer")
    return (
      <Empty title="Only at the studio’s computer">
        Who is let in is seen and changed at the computer Spoolwright runs on, not from a tablet or phone.
      </Empty>
    );
  return <TroubleSheet trouble={now.error} onAgain={() => void refetch()} />;
}

function Open({ now }: { readonly now: shapes.DevicesNow }) {
  return (
    <div className="devices">
      <DevicesOffer now={now} />
      <DeviceList devices={now.devices} />
      <Plainly />
    </div>
  );
}

/** Started for this computer alone: how to open, and what that means. */
function Closed({ now }: { readonly now: shapes.DevicesNow }) {
  return (
    <div className="devices">
      <section className="sheet devices-sheet" aria-label="Tablets and phones are not let in">
        <h2>Only this computer is let in</h2>
        <p>
          A tablet at each machine and a phone in each pocket can show the stations. Start Spoolwright so that
          it listens to the studio’s own network, then let each in here, by a code:
        </p>
        <pre className="devices-command">npm start -- --lan</pre>
        <p className="quiet">
          Keep what else stands in your command, such as <code>--data</code> or <code>--demo</code>.
        </p>
      </section>
      {now.devices.length > 0 && (
        <DeviceList devices={now.devices} title="In again once the program listens to the network" />
      )}
      <Plainly />
    </div>
  );
}

/** What this is and what it is not, as it is. */
const Plainly = () => (
  <section className="sheet devices-sheet devices-plainly" aria-label="What to know first">
    <h2>What to know first</h2>
    <ul>
      <li>
        <strong>Only on the studio’s own network.</strong> What goes between a tablet and this computer is not
        encrypted. Somebody on the same network can read along, and could take a tablet’s place. Give the
        network a password of its own, and guests another Wi-Fi.
      </li>
      <li>
        A device that is let in can do all that the pages can, except letting others in. Turn out what is lost
        or sold.
      </li>{" "}
      {/* prettier-ignore */}
      <li>
        Over this connection a browser keeps no screen awake and shows no live camera to a page. Set the
        tablet’s own screen to stay on; a code on a ticket is read by the phone’s camera program or a plugged-in
        code reader.
      </li>
      <li>
        Ask the router to give this computer always the same address. With another one tickets printed before
        lead nowhere, and every tablet has to be let in again.
      </li>
    </ul>
  </section>
);
