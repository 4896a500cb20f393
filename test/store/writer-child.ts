/**
 * A program that writes without end and says on standard output what has been acknowledged, until it is killed:
 * a tracked write of an order with a line's product, a file by content, and a floor event each.
 */
import { randomInt } from "node:crypto";
import { appendFloorEvents, openStore } from "#store";

const [folder, run] = [process.argv[2]!, process.argv[3]!];
let n = 0;
const store = await openStore({
  data: folder,
  nowMs: () => 1_795_597_200_000 + n,
  newId: (prefix) => `${prefix}_${run}_${++n}_${randomInt(2 ** 40)}`,
});
process.stdout.write("open\n");
for (let i = 0; ; i++) {
  const id = `${run}-${i}`;
  const hash = await store.files.put(Buffer.from(`the file of ${id}`));
  await store.write({ who: "child", what: `Wrote ${id}` }, async (writing) => {
    const row = {
      version: 1,
      archived: 0,
      created_at_ms: 1,
      updated_at_ms: 1,
      code: id,
      name: hash,
      search: "",
      body: "{}",
    };
    await writing.insert("threads", { id: `a-${id}`, ...row });
    await writing.insert("stock", { id: `b-${id}`, ...row });
    await appendFloorEvents(writing.db, [
      {
        id: `e-${id}`,
        at_ms: i,
        recorded_at_ms: i,
        person_id: null,
        who: "child",
        kind: "state",
        piece_id: null,
        job_id: null,
        machine_id: null,
        data: "{}",
      },
    ]);
  });
  process.stdout.write(`${id}\n`);
}
