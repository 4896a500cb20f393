import { expect, it } from "vitest";
import { givenName, isOfTheNetwork, isThisComputer, lanAddresses, lanHosts, reaches } from "./lan-names";

const on = (...addresses: readonly string[]) => ({
  lan: addresses.map((address) => ({
    address,
    netmask: "255.255.255.0",
    family: address.includes(":") ? ("IPv6" as const) : ("IPv4" as const),
    mac: "00:00:00:00:00:00",
    internal: address.startsWith("127.") || address === "::1",
    cidr: address.includes(":") ? null : `${address}/24`,
    scopeid: 0,
  })) as never,
});

it("only addresses of the private ranges are the shop's network (edges of RFC 1918, section 3)", () => {
  const inside = ["10.0.0.0", "10.255.255.255", "172.16.0.0", "172.31.255.255", "192.168.0.0", "192.168.255.255"]; // prettier-ignore
  const outside = ["9.255.255.255", "11.0.0.0", "172.15.255.255", "172.32.0.0", "192.167.255.255", "192.169.0.0", "169.254.1.1", "127.0.0.1", "::1", "fe80::1"]; // prettier-ignore
  expect(lanAddresses({ interfaces: on(...inside, ...outside) })).toEqual(inside);
});

it("names are exact, with the port, and the computer's own name ends in .local", () => {
  const network = { interfaces: on("192.168.1.7", "127.0.0.1"), hostName: "Quay.example" };
  expect([...lanHosts(4700, network)]).toEqual(["192.168.1.7:4700", "quay.local:4700"]);
  expect(lanHosts(80, network).has("quay.local")).toBe(true);
});

it("a computer's name that no host may have gives none", () => {
  for (const hostName of ["", "-quay", "quay/evil", "quay:80", "x".repeat(64)])
    expect([...lanHosts(4700, { interfaces: {}, hostName })], hostName).toEqual([]);
});

it("only loopback is this computer", () => {
  for (const own of ["127.0.0.1", "127.0.0.2", "::1", "::ffff:127.0.0.1"])
    expect(isThisComputer(own), own).toBe(true);
  for (const other of [undefined, "", "192.168.1.7", "::ffff:192.168.1.7", "127.0.0.1.example", "::", "127."])
    expect(isThisComputer(other), other).toBe(false);
});

it("an address the owner gave is one too, though it is of no private range; a name stands before the computer's own", () => {
  const network = {
    interfaces: on("203.0.113.7", "192.168.1.7"),
    hostName: "quay",
    given: ["203.0.113.7", "studio.lan"],
  };
  expect(reaches(network).map(({ host, kind }) => `${kind} ${host}`)).toEqual([
    "address 203.0.113.7",
    "address 192.168.1.7",
    "name studio.lan",
    "name quay.local",
  ]);
  expect(reaches({ ...network, interfaces: {} }).map(({ host }) => host)).toEqual([
    "studio.lan",
    "quay.local",
  ]);
});

it("callers of the private ranges are of the network, others only beside an address the owner gave", () => {
  const network = { interfaces: on("203.0.113.7"), hostName: "quay", given: ["203.0.113.7"] };
  for (const inside of ["192.168.7.9", "10.0.0.9", "::ffff:172.16.0.9", "203.0.113.200"])
    expect(isOfTheNetwork(inside, network), inside).toBe(true);
  for (const outside of [
    "198.51.100.1",
    "203.0.112.200",
    "8.8.8.8",
    "fe80::1",
    "2001:db8::1",
    "",
    undefined,
    "127.0.0.1.example",
  ])
    // prettier-ignore
    expect(isOfTheNetwork(outside, network), outside).toBe(false);
  expect(isOfTheNetwork("203.0.113.200", { ...network, given: [] })).toBe(false);
});

it("what the owner types is a host's name or an IPv4 address, and never one of loopback", () => {
  expect(["Studio.LAN", " quay ", "10.0.0.7", "203.0.113.7"].map(givenName)).toEqual([
    "studio.lan",
    "quay",
    "10.0.0.7",
    "203.0.113.7",
  ]);
  for (const wrong of [
    "",
    "http://quay",
    "quay:4700",
    "localhost",
    "x.localhost",
    "127.0.0.1",
    "0.0.0.0",
    "1.2.3",
    "256.1.1.1",
    "-a",
    "a..b",
    "a/b",
    "a b",
    "::1",
    "*",
  ])
    // prettier-ignore
    expect(givenName(wrong), wrong).toBeNull();
});
