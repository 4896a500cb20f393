import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { encode } from "jpeg-js";
import { afterEach, beforeEach, expect, it } from "vitest";
import { backUp, checkData, restore } from "#app";
import type { Bytes } from "#contract";
import { lineOf, type OrderBook, orderBook } from "#test/order-book";
import { testProgram } from "#test/program";

let folder: string;
let book: OrderBook;
beforeEach(async () => {
  folder = mkdtempSync(path.join(tmpdir(), "photos-"));
  book = await orderBook({ data: path.join(folder, "data") });
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const jpeg = (grey: number): Uint8Array =>
  new Uint8Array(
    encode({ width: 200, height: 150, data: new Uint8Array(200 * 150 * 4).fill(grey) }, 70).data,
  );

async function placedWithPhoto(bytes: Uint8Array): Promise<{ placingId: string; changeId: string }> {
  const { program } = book;
  const order = await book.order({
    reference: String(bytes.length),
    lines: [lineOf(book.robe, { personalText: "Iris" })],
  });
  const [piece] = await book.pieces(order.id);
  const call = program.call();
  const { id } = await program.ask(
    "keepPlacing",
    {
      params: { id: piece!.jobs[0]!.id },
      body: {
        kind: "first",
        machineId: book.machine,
        seen: { way: "tape", spreadMm: 0.5 },
        touches: [
          { kind: "place", readings: [{ from: "left", alongMm: 70, distanceMm: 100 }] },
          {
            kind: "centre line",
            readings: [
              { from: "left", alongMm: 10, distanceMm: 100 },
              { from: "left", alongMm: 130, distanceMm: 102 },
            ],
          },
        ],
      },
    },
    call,
  );
  await program.ask("keepPlacingPhoto", { params: { id }, body: bytes });
  return { placingId: id, changeId: call.notes.changeId! };
}

it("a photo comes back with its placing from a backup, and nothing is missing", async () => {
  const { placingId } = await placedWithPhoto(jpeg(120));
  const { bytes } = (await book.program.ask("placingPhoto", {
    params: { id: placingId },
  })) as unknown as Bytes;
  const data = path.join(folder, "data");
  const file = await backUp({ data, into: path.join(folder, "kept"), program: "test", nowMs: 0 });
  await book.program.close();
  const again = path.join(folder, "again");
  await restore({ data: again, file, nowMs: 0 });
  expect((await checkData(again)).missingFiles).toEqual([]);
  const program = await testProgram({ data: again });
  const back = (await program.ask("placingPhoto", { params: { id: placingId } })) as unknown as Bytes;
  expect(back.bytes).toEqual(bytes);
  await program.close();
});

it("the photo of a placing that was taken back goes with the next one; one that two placings share stays", async () => {
  const { program } = book;
  const shared = jpeg(90);
  const first = await placedWithPhoto(shared);
  const same = await placedWithPhoto(Uint8Array.from([...shared, 0]));
  await program.ask("deletePlacingPhoto", { params: { id: first.placingId } });
  expect((await program.ask("readPlacing", { params: { id: same.placingId } })).photo).not.toBeNull();
  const { bytes } = (await program.ask("placingPhoto", {
    params: { id: same.placingId },
  })) as unknown as Bytes;
  // What follows the picture is no part of it, so both were the same file.
  expect(bytes).toHaveLength(shared.length);
  await program.ask("undoChange", { params: { id: same.changeId } });
  expect((await program.ask("placingSettings")).kept).toBe(1);
  await placedWithPhoto(jpeg(30));
  expect((await program.ask("placingSettings")).kept).toBe(1);
  expect(await program.ask("deletePlacingPhotos")).toEqual({ deleted: 1 });
  await program.close();
});
