import type { FastifyReply, FastifyRequest } from "fastify";
import type { Answers, Call, DeviceRowName, Devices } from "#app";
import type { shapes } from "#contract";
import type { Lan } from "./lan";
import { newToken, type Pairing, type PairingOutcome, tokenHash } from "./pairing";
import { refuseHttp } from "./refusals";
import { callerOf, cookieLine, whoOf } from "./session";

/** The answers about who is let in are http's own: they set the cookie and look at the socket. */
export type DeviceAnswers = {
  readonly [N in DeviceRowName]: (
    asked: Parameters<Answers[N]>[0],
    met: { readonly request: FastifyRequest; readonly reply: FastifyReply },
  ) => ReturnType<Answers[N]>;
};

export function deviceAnswers(about: {
  readonly lan: Lan;
  readonly devices: Devices;
  readonly pairing: Pairing;
  readonly cookie: () => string;
  /** Ids of devices with a page open. */
  readonly openIds: () => ReadonlySet<string>;
  /** Tells open pages that the list, or whether a code stands, is another now. */
  readonly tell: () => void;
}): DeviceAnswers {
  const { lan, devices, pairing } = about;

  async function now(): Promise<shapes.DevicesNow> {
    const open = about.openIds();
    return {
      lan: lan.isOpen,
      reaches: lan.reaches().map((one) => ({ ...one })),
      origin: await lan.phoneOrigin(),
      offerUntilMs: pairing.untilMs(),
      devices: (await devices.list()).map(({ id, name, pairedAtMs, lastSeenAtMs }) => ({
        ...{ id, name, pairedAtMs, lastSeenAtMs },
        open: open.has(id),
      })),
    };
  }

  function refuseWithoutLan(): void {
    if (!lan.isOpen) throw refuseHttp("lan-closed", "The program was started for this computer alone.");
  }

  return {
    listDevices: now,
    async choosePhoneOrigin({ body }) {
      refuseWithoutLan();
      if (!lan.reaches().some(({ origin }) => origin === body.origin))
        throw refuseHttp("fields-wrong", "This computer is not reached by this address.", [
          {
            field: "origin",
            found: body.origin.slice(0, 80),
            expected: lan.reaches().map(({ origin }) => origin).join(" or ") || "an address; it has none now", // prettier-ignore
          },
        ]);
      await devices.choosePhoneOrigin(body.origin);
      return now();
    },
    async offerPairing() {
      refuseWithoutLan();
      const offer = pairing.offer();
      about.tell();
      return { ...offer };
    },
    async withdrawPairing() {
      pairing.withdraw();
      about.tell();
      return now();
    },
    async pairDevice({ body }, { request, reply }) {
      const caller = callerOf(request);
      if (caller.kind !== "stranger")
        throw refuseHttp("paired-already", `${whoOf(caller)} is let in already.`);
      const outcome = pairing.attempt(request.raw.socket.remoteAddress ?? "", body.code);
      if (outcome !== "let-in") {
        if (pairing.untilMs() === null) about.tell();
        throw refuseCode(outcome);
      }
      const token = newToken();
      const device = await devices.letIn({ name: body.name, tokenHash: tokenHash(token) });
      reply.header("set-cookie", cookieLine(about.cookie(), token));
      return { id: device.id, name: device.name };
    },
    async thisDevice(_asked, { request }) {
      const caller = callerOf(request);
      return { thisComputer: caller.kind === "this-computer", name: whoOf(caller) };
    },
    async renameDevice({ params, body }) {
      await devices.rename(params.id, body.name);
      return now();
    },
    async turnOutDevice({ params }) {
      await devices.turnOut(params.id);
      return now();
    },
  };
}

function refuseCode(outcome: Exclude<PairingOutcome, "let-in">) {
  if (outcome === "too-many") return refuseHttp("code-tries", "Too many codes were tried within a minute.");
  return outcome === "wrong"
    ? refuseHttp("code-wrong", "This is not the code on the computer's screen.")
    : refuseHttp("code-over", "No code lets a device in just now.");
}

/** Who asks and by which addresses, for the answers of the program. */
export async function callerPart(
  request: FastifyRequest,
  lan: Lan,
): Promise<Pick<Call, "who" | "origin" | "phoneOrigin">> {
  const caller = callerOf(request);
  const origin = caller.kind === "device" ? `http://${request.headers.host}` : lan.ownOrigin();
  return { who: whoOf(caller), origin, phoneOrigin: (await lan.phoneOrigin()) ?? origin };
}
