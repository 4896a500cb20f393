/**
 * Bringing in orders: a file of so many rows looked at, brought in on a database in a data folder (every write synced
 * to disk), and brought in again. Prints rows a second, processor time, the longest the event loop stood still (and the
 * longest turn by processor time, which a busy machine does not stretch), and the memory.
 * `npm run bench import`, which measures it built; `node --import tsx bench/speed/import.ts [rows] [different names]`.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { orderBook } from "#test/order-book";

const rows = Number(process.argv[2] ?? 10_000);
const names = Number(process.argv[3] ?? 300);
const folder = mkdtempSync(path.join(tmpdir(), "spoolwright-import-"));
const syllables = [
  "Ma",
  "ri",
  "lo",
  "ten",
  "Jo",
  "ha",
  "nis",
  "el",
  "vik",
  "Be",
  "ru",
  "na",
  "Sol",
  "gar",
  "wen",
];
const nameOf = (index: number) =>
  [index % 15, Math.floor(index / 15) % 15, Math.floor(index / 225) % 15]
    .map((at) => syllables[at]!)
    .join("");
const csv = `Order,Customer,Order date,Due date,Product,Qty,Personalisation,Price\r\n${Array.from(
  { length: rows },
  (_, index) =>
    `B${index},Customer ${index},2026-11-20,2026-12-${String(1 + (index % 28)).padStart(2, "0")},${["NAP", "TOWEL", "ROBE"][index % 3]!},1,${index % 3 === 0 ? "" : nameOf(index % names)},24.00\r\n`,
).join("")}`;

const book = await orderBook({ data: folder });
const { program } = book;

/** Looks at the clocks every 5 ms: how late it comes is how long the loop stood still. */
function watchLoop() {
  const longest = { lateMs: 0, workedMs: 0 };
  let at = performance.now();
  let cpu = process.cpuUsage();
  const timer = setInterval(() => {
    const now = performance.now();
    const used = process.cpuUsage(cpu);
    longest.lateMs = Math.max(longest.lateMs, now - at - 5);
    longest.workedMs = Math.max(longest.workedMs, Math.min(now - at, (used.user + used.system) / 1000));
    at = now;
    cpu = process.cpuUsage();
  }, 5);
  return () => {
    clearInterval(timer);
    return longest;
  };
}

async function timed<T>(what: string, work: () => Promise<T>): Promise<T> {
  const stop = watchLoop();
  const cpu = process.cpuUsage();
  const start = performance.now();
  const result = await work();
  const ms = performance.now() - start;
  const used = process.cpuUsage(cpu);
  const { lateMs, workedMs } = stop();
  console.log(
    `${what}: ${(ms / 1000).toFixed(2)} s (${((used.user + used.system) / 1e6).toFixed(2)} s of processor), ${Math.round((1000 * rows) / ms)} rows/s, loop stood still at most ${Math.round(lateMs)} ms, longest turn ${Math.round(workedMs)} ms of processor`,
  );
  return result;
}

async function run(id: string) {
  const ended = new Promise<void>((resolve) => {
    const stop = program.context.listen((event) => {
      if (event.topic !== "import" || event.import.state === "running") return;
      stop();
      resolve();
    });
  });
  await program.ask("runImport", { params: { id } });
  await ended;
  return (await program.ask("readImport", { params: { id } })).counts;
}

const seen = await timed("looked at", () =>
  program.ask("lookAtFile", { query: { name: "bench.csv" }, body: new TextEncoder().encode(csv) }),
);
console.log(JSON.stringify(await timed("brought in", () => run(seen.id))));
console.log(JSON.stringify(await timed("again", () => run(seen.id))));
const again = await timed("a page of orders", () => program.ask("listOrders", { query: { limit: 100 } }));
console.log(`${again.total} orders; ${Math.round(process.memoryUsage().rss / 1e6)} MB`);
await program.close();
rmSync(folder, { recursive: true, force: true });
