import { BlockList, isIPv4 } from "node:net";
import type { NetworkInterfaceInfo } from "node:os";

export interface ShopNetwork {
  /** As `os.networkInterfaces()` gives them. */
  readonly interfaces: Readonly<Record<string, readonly NetworkInterfaceInfo[] | undefined>>;
  /** As `os.hostname()` gives it. */
  readonly hostName: string;
  /** Further names and addresses of this computer, as the owner gave them at the start; read by `givenName`. */
  readonly given?: readonly string[];
}

/** One way a tablet may reach this computer: the host, and the computer's own name for the network it is on. */
export interface Reach {
  readonly host: string;
  readonly kind: "address" | "name";
  readonly network: string;
}

/**
 * This computer's own addresses a tablet may use: IPv4, not loopback, not self-given (169.254, RFC 3927), and only
 * the private ranges of RFC 1918 or what the owner gave by hand, so that a computer hung straight on the internet
 * does not open itself there.
 */
export function lanAddresses({ interfaces, given }: Omit<ShopNetwork, "hostName">): readonly string[] {
  return reachedAddresses({ interfaces, given: given ?? [] }).map(({ host }) => host);
}

/** How tablets may reach this computer, the likeliest first: addresses, then names. */
export function reaches(network: ShopNetwork): readonly Reach[] {
  const addresses = reachedAddresses(network);
  const label = network.hostName.toLowerCase().split(".")[0]!;
  const names = [
    ...(network.given ?? []).filter((one) => !isIPv4(one)),
    ...(isLabel(label) && label !== "localhost" ? [`${label}.local`] : []),
  ];
  return [...addresses, ...[...new Set(names)].map((host) => ({ host, kind: "name", network: "" }) as const)];
}

/** The exact Host values a tablet may call the program by, beside the names of loopback. */
export function lanHosts(port: number, network: ShopNetwork): ReadonlySet<string> {
  return new Set(
    reaches(network).flatMap(({ host }) => (port === 80 ? [host, `${host}:80`] : [`${host}:${port}`])),
  );
}

/** Whether a caller's address, as the socket tells it, is this computer itself: who sits there needs no pairing. */
export function isThisComputer(address: string | undefined): boolean {
  if (address === undefined) return false;
  if (address === "::1") return true;
  const plain = plainAddress(address);
  return isIPv4(plain) && plain.startsWith("127.");
}

/** Whether a caller's address is of the studio's own network: a private one, or beside an address the owner gave. */
export function isOfTheNetwork(address: string | undefined, network: ShopNetwork): boolean {
  const plain = plainAddress(address ?? "");
  if (!isIPv4(plain)) return false;
  if (isPrivate(plain)) return true;
  const beside = new BlockList();
  for (const one of Object.values(network.interfaces).flatMap((list) => list ?? [])) {
    const [, prefix] = one.cidr?.split("/") ?? [];
    if (prefix && isIPv4(one.address) && network.given?.includes(one.address))
      beside.addSubnet(one.address, Number(prefix), "ipv4");
  }
  return beside.check(plain, "ipv4");
}

/** A name or IPv4 address as the owner types it at the start, in the form a Host header has it; null where no host may be called so. */
export function givenName(text: string): string | null {
  const name = text.trim().toLowerCase();
  if (isIPv4(name)) return name.startsWith("127.") || name === "0.0.0.0" ? null : name;
  // All digits and dots is no name: it would be read as an address by some and as a name by others.
  const isName = name.length <= 253 && name.split(".").every(isLabel) && !/^[\d.]+$/.test(name);
  return isName && !/(^|\.)localhost$/.test(name) ? name : null;
}

function reachedAddresses({ interfaces, given }: Pick<ShopNetwork, "interfaces" | "given">): Reach[] {
  const found = new Map<string, Reach>();
  for (const [network, list] of Object.entries(interfaces))
    for (const { address, internal } of list ?? [])
      if (!internal && isIPv4(address) && (isPrivate(address) || given?.includes(address)))
        if (!found.has(address)) found.set(address, { host: address, kind: "address", network });
  return [...found.values()];
}

const isLabel = (text: string) => /^[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?$/.test(text);

const plainAddress = (address: string) =>
  address.startsWith("::ffff:") ? address.slice("::ffff:".length) : address;

function isPrivate(address: string): boolean {
  if (!isIPv4(address)) return false;
  const [first, second] = address.split(".").map(Number) as [number, number];
  return first === 10 || (first === 172 && 16 <= second && second <= 31) || (first === 192 && second === 168);
}
