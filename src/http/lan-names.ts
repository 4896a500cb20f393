import type { NetworkInterfaceInfo } from "node:os";
import { isIPv4 } from "node:net";

export interface ShopNetwork {
  /** As `os.networkInterfaces()` gives them. */
  readonly interfaces: Readonly<Record<string, readonly NetworkInterfaceInfo[] | undefined>>;
  /** As `os.hostname()` gives it. */
  readonly hostName: string;
}

/**
 * This computer's own addresses a tablet may use: IPv4, not loopback, not self-given (169.254, RFC 3927), and only
 * the private ranges of RFC 1918, so that a computer hung straight on the internet does not open itself there.
 */
export function lanAddresses({ interfaces }: Pick<ShopNetwork, "interfaces">): readonly string[] {
  const found = Object.values(interfaces).flatMap((list) => list ?? []);
  return [
    ...new Set(found.filter((one) => !one.internal && isPrivate(one.address)).map((one) => one.address)),
  ];
}

/** The exact Host values a tablet may call the program by, beside the names of loopback. */
export function lanHosts(port: number, network: ShopNetwork): ReadonlySet<string> {
  const label = network.hostName.toLowerCase().split(".")[0]!;
  const named = /^[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?$/.test(label) ? [`${label}.local`] : [];
  const names = [...lanAddresses(network), ...named];
  return new Set(names.flatMap((name) => (port === 80 ? [name, `${name}:80`] : [`${name}:${port}`])));
}

/** Whether a caller's address, as the socket tells it, is this computer itself: who sits there needs no pairing. */
export function isThisComputer(address: string | undefined): boolean {
  if (address === undefined) return false;
  if (address === "::1") return true;
  const plain = address.startsWith("::ffff:") ? address.slice("::ffff:".length) : address;
  return isIPv4(plain) && plain.startsWith("127.");
}

function isPrivate(address: string): boolean {
  if (!isIPv4(address)) return false;
  const [first, second] = address.split(".").map(Number) as [number, number];
  return first === 10 || (first === 172 && 16 <= second && second <= 31) || (first === 192 && second === 168);
}
