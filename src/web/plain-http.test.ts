import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { expect, it } from "vitest";

// A tablet reaches the program over plain http, where a browser leaves out what it keeps for secure contexts (W3C Secure
// Contexts; the names from each feature's own specification, from memory). A page that uses one unasked fails there only.
const secureOnly = [
  "randomUUID",
  "crypto.subtle",
  "mediaDevices",
  "getUserMedia",
  "BarcodeDetector",
  "serviceWorker",
  "navigator.locks",
  "navigator.storage",
  "navigator.clipboard",
  "navigator.wakeLock",
  "navigator.share",
  "PushManager",
  "cookieStore",
  "showOpenFilePicker",
  "showSaveFilePicker",
  "caches.",
];
/** Asked for with care: where it is missing, the page does something else. */
const withCare: Readonly<Record<string, readonly string[]>> = {
  "navigator.wakeLock": ["station/use-wake.ts"],
  "navigator.clipboard": ["orders/page.tsx"],
};

it("no page needs what a browser keeps for secure contexts", () => {
  const sources = readdirSync(import.meta.dirname, { recursive: true, encoding: "utf8" })
    .map((name) => name.split(path.sep).join("/"))
    .filter((name) => /\.tsx?$/.test(name) && !/\.test\.tsx?$/.test(name));
  expect(sources.length).toBeGreaterThan(100);
  const faults = sources.flatMap((name) => {
    const text = readFileSync(path.join(import.meta.dirname, name), "utf8");
    return secureOnly
      .filter((word) => text.includes(word) && !withCare[word]?.includes(name))
      .map((word) => `${name}: ${word}`);
  });
  expect(faults).toEqual([]);
});
