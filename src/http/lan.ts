import type { Program } from "#app";
import { loopbackHosts } from "./guard";
import { isOfTheNetwork, lanHosts, reaches, type ShopNetwork } from "./lan-names";

/** How this computer is called and by whom, with and without `--lan`. */
export interface Lan {
  readonly isOpen: boolean;
  /** Host values that are this computer itself. */
  ownHosts(): ReadonlySet<string>;
  /** Host values a tablet may use; none without `--lan`. */
  deviceHosts(): ReadonlySet<string>;
  isOfTheNetwork(address: string | undefined): boolean;
  /** Origins a tablet may use, the likeliest first. */
  reaches(): readonly {
    readonly origin: string;
    readonly kind: "address" | "name";
    readonly network: string;
  }[];
  /** This computer's own origin. */
  ownOrigin(): string;
  /** The origin QR codes carry: the chosen one while this computer has it, else the likeliest; null where there is none. */
  phoneOrigin(): Promise<string | null>;
}

/** Addresses change when the router says so; they are looked up so often, and not at each request. */
const LOOKED_UP_MS = 5_000;

export function lanOf(asked: {
  readonly program: Pick<Program, "devices" | "context">;
  /** Absent without `--lan`. */
  readonly network: (() => ShopNetwork) | undefined;
  readonly port: () => number;
}): Lan {
  const { program, network, port } = asked;
  let seen: { readonly atMs: number; readonly port: number; readonly now: ReturnType<typeof lookUp> } | null =
    null;
  const lookUp = (open: () => ShopNetwork) => {
    const now = open();
    return { network: now, hosts: lanHosts(port(), now) };
  };
  const current = (open: () => ShopNetwork) => {
    const atMs = program.context.nowMs();
    if (!seen || seen.port !== port() || Math.abs(atMs - seen.atMs) >= LOOKED_UP_MS)
      seen = { atMs, port: port(), now: lookUp(open) };
    return seen.now;
  };
  const ports = () => (port() === 80 ? "" : `:${port()}`);
  const lan: Lan = {
    isOpen: network !== undefined,
    ownHosts: () => loopbackHosts(port()),
    deviceHosts: () => (network ? current(network).hosts : new Set()),
    isOfTheNetwork: (address) => network !== undefined && isOfTheNetwork(address, current(network).network),
    reaches: () =>
      network
        ? reaches(current(network).network).map(({ host, kind, network: of }) => ({
            origin: `http://${host}${ports()}`,
            kind,
            network: of,
          }))
        : [],
    ownOrigin: () => `http://127.0.0.1:${port()}`,
    async phoneOrigin() {
      const there = lan.reaches();
      if (there.length === 0) return null;
      const chosen = await program.devices.phoneOrigin();
      return (there.find(({ origin }) => origin === chosen) ?? there[0]!).origin;
    },
  };
  return lan;
}
