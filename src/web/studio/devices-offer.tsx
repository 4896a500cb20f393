import type { Answer, shapes } from "#contract";
import { Button } from "@mantine/core";
import { useEffect, useState } from "react";
import { useChange } from "../asking";
import { codeWords } from "../pairing/way-on";
import { ChoiceField } from "../parts/form";
import { QrCode } from "../parts/qr-code";

type Now = shapes.DevicesNow;
interface Shown {
  readonly offer: Answer<"offerPairing">;
  /** Who was in when it was made, to tell who came by it. */
  readonly before: readonly string[];
}

/** Lets one more in: a code to scan or to type, for five minutes and one device. */
export function DevicesOffer({ now }: { readonly now: Now }) {
  const [shown, setShown] = useState<Shown | null>(null);
  const make = useChange("offerPairing", { lists: ["devices"] });
  const withdraw = useChange("withdrawPairing", { lists: ["devices"] });
  const leftS = useSecondsUntil(shown?.offer.untilMs ?? null);
  const came = shown && now.devices.find((one) => !shown.before.includes(one.id));
  const stands = shown !== null && !came && 0 < leftS && now.offerUntilMs === shown.offer.untilMs;
  const show = () =>
    make.mutate(
      {},
      {
        onSuccess: ({ value }) => setShown({ offer: value, before: now.devices.map((device) => device.id) }),
      },
    );
  return (
    <section className="sheet devices-sheet" aria-label="Let one in">
      <h2>Let a tablet or phone in</h2>
      {now.origin === null ? (
        <p role="status">
          This computer is on no network of its own just now. Join the studio’s Wi-Fi or plug in its cable;
          this page finds it by itself.
        </p>
      ) : (
        <>
          <Address now={now} />
          {stands ? (
            <Standing
              offer={shown.offer}
              origin={now.origin}
              leftS={leftS}
              onWithdraw={() => withdraw.mutate({}, { onSuccess: () => setShown(null) })}
            />
          ) : (
            <>
              <p role="status">{wordsAfter(shown, came)}</p>
              <Button size="md" loading={make.isPending} onClick={show}>
                {shown ? "Show another code" : "Show a code"}
              </Button>
            </>
          )}
        </>
      )}
    </section>
  );
}

function wordsAfter(shown: Shown | null, came: shapes.Device | null | undefined): string {
  if (came) return `${came.name} is in.`;
  return shown
    ? "That code no longer counts: its five minutes are over, or it was mistyped five times."
    : "It has to be in the studio’s own network. The code lets one device in, within five minutes.";
}

/** By which of its addresses this computer is reached; the same stands in the QR codes of tickets. */
function Address({ now }: { readonly now: Now }) {
  const choose = useChange("choosePhoneOrigin", { lists: ["devices"] });
  if (now.reaches.length < 2)
    return (
      <p className="quiet">
        This computer is reached at <span className="devices-address">{now.origin}</span>.
      </p>
    );
  return (
    <div className="devices-reach">
      <ChoiceField
        label="How this computer is reached"
        hint="The QR codes of tickets carry it too. If a tablet finds nothing there, take another."
        value={now.origin!}
        onChange={(origin) => choose.mutate({ body: { origin } })}
        choices={now.reaches.map(({ origin, kind, network }) => ({
          value: origin,
          words: `${origin} (${kind === "address" ? network : "by name"})`,
        }))}
      />
    </div>
  );
}

function Standing({
  offer,
  origin,
  leftS,
  onWithdraw,
}: {
  readonly offer: Answer<"offerPairing">;
  readonly origin: string;
  readonly leftS: number;
  readonly onWithdraw: () => void;
}) {
  return (
    <div className="devices-offer">
      <QrCode
        text={`${origin}/pair#${offer.code}`}
        label="QR code that opens the pairing page with this code"
      />
      <div className="devices-steps">
        <p>Point the device’s camera at the picture and open what it finds.</p>
        <p>
          Or open <span className="devices-address">{origin}/pair</span> there and type
          <strong className="devices-code">{codeWords(offer.code)}</strong>
        </p>
        <p>Then give it a name, such as “Tablet at machine 2”.</p>
      </div>
      <div className="devices-acts">
        <Button size="md" variant="default" onClick={onWithdraw}>
          Take the code back
        </Button>
        <span className="quiet">
          counts for {Math.floor(leftS / 60)}:{String(leftS % 60).padStart(2, "0")} more
        </span>
      </div>
    </div>
  );
}

/** Whole seconds until then, counted down; 0 afterwards. */
function useSecondsUntil(untilMs: number | null): number {
  const [nowMs, setNowMs] = useState(() => Date.now());
  useEffect(() => {
    if (untilMs === null) return;
    const look = () => setNowMs(Date.now());
    look();
    const ticking = window.setInterval(look, 1000);
    return () => window.clearInterval(ticking);
  }, [untilMs]);
  return untilMs === null ? 0 : Math.max(0, Math.ceil((untilMs - nowMs) / 1000));
}
