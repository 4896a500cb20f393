import type { Noun, shapes } from "#contract";
import type { RefusalDetail } from "#core/base";
import type { Store } from "#store";
import { refuseApp } from "./refusals";

type Db = Store["db"];
type List = Noun | "designs";
interface Found {
  readonly name: string;
  readonly archived: boolean;
  readonly body: Record<string, unknown>;
}

/**
 * Looks at every id a record names: it must be there, of the right kind, and not archived unless the record named
 * it before. Refuses with all that is wrong at once.
 */
export async function checkReferences(
  db: Db,
  noun: Noun,
  body: object,
  before: object | null,
): Promise<void> {
  if (noun !== "machines" && noun !== "products") return;
  const wrong: RefusalDetail[] = [];
  const look = looker(db, wrong, before === null ? "" : JSON.stringify(before));
  if (noun === "machines") await checkMachine(body as shapes.MachineBody, look, wrong);
  else await checkProduct(body as shapes.ProductBody, look, wrong);
  if (wrong.length > 0)
    throw refuseApp(
      "reference-wrong",
      wrong.map((one) => `${one.field}: ${one.found}; expected ${one.expected}`).join(". ") + ".",
      wrong,
    );
}

type Look = (
  list: List,
  id: string | null,
  field: string,
  expected: string,
  fits?: (body: Record<string, unknown>) => boolean,
) => Promise<Found | null>;

function looker(db: Db, wrong: RefusalDetail[], before: string): Look {
  return async (list, id, field, expected, fits) => {
    if (id === null) return null;
    const row =
      list === "designs"
        ? await db.selectFrom("designs").select(["name", "archived"]).where("id", "=", id).executeTakeFirst()
        : await db
            .selectFrom(list as "people")
            .select(["name", "archived", "body"])
            .where("id", "=", id)
            .executeTakeFirst();
    if (!row) {
      wrong.push({ field, found: `no record ${id}`, expected });
      return null;
    }
    const found: Found = {
      name: row.name,
      archived: row.archived === 1,
      body: "body" in row ? (JSON.parse(row.body as string) as Record<string, unknown>) : {},
    };
    if (found.archived && !before.includes(JSON.stringify(id)))
      wrong.push({ field, found: `${found.name}, which is archived`, expected });
    else if (fits && !fits(found.body)) wrong.push({ field, found: found.name, expected });
    return found;
  };
}

async function checkMachine(machine: shapes.MachineBody, look: Look, wrong: RefusalDetail[]): Promise<void> {
  for (const [i, id] of machine.hoopIds.entries()) {
    await look("hoops", id, `hoopIds.${i}`, "a hoop of the list");
    if (machine.hoopIds.indexOf(id) !== i)
      wrong.push({ field: `hoopIds.${i}`, found: "the same hoop twice", expected: "each hoop once" });
  }
  for (const [i, needle] of machine.needles.entries())
    await look("threads", needle.threadId, `needles.${i}.threadId`, "a thread of the list");
  if (machine.kind !== "straight-stitch" && machine.needles.length === 0)
    wrong.push({
      field: "needles",
      found: "no needle",
      expected: "at least one needle on a machine that embroiders",
    });
  for (const [i, down] of machine.downTimes.entries()) {
    const from = `${down.fromDate} ${String(down.fromMinute).padStart(4, "0")}`;
    const to = `${down.toDate} ${String(down.toMinute).padStart(4, "0")}`;
    if (from >= to)
      wrong.push({
        field: `downTimes.${i}`,
        found: `${down.fromDate} to ${down.toDate}`,
        expected: "a time away that ends after it starts",
      });
  }
}

async function checkProduct(product: shapes.ProductBody, look: Look, wrong: RefusalDetail[]): Promise<void> {
  const ofKind = (kind: string) => (body: Record<string, unknown>) => body.kind === kind;
  await look("stock", product.blankId, "blankId", "a blank of the stock list", ofKind("blank"));
  for (const [i, placement] of product.placements.entries()) {
    const at = (field: string) => `placements.${i}.${field}`;
    if (product.placements.findIndex((other) => other.id === placement.id) !== i)
      wrong.push({ field: at("id"), found: placement.id, expected: "an id of its own for each placement" });
    const hoop = await look("hoops", placement.hoopId, at("hoopId"), "a hoop of the list");
    await look(
      "stock",
      placement.backingId,
      at("backingId"),
      "a backing of the stock list",
      ofKind("backing"),
    );
    await look(
      "stock",
      placement.toppingId,
      at("toppingId"),
      "a topping of the stock list",
      ofKind("topping"),
    );
    await look("designs", placement.designId, at("designId"), "a design of the list");
    await look(
      "threads",
      placement.lettering?.threadId ?? null,
      at("lettering.threadId"),
      "a thread of the list",
    );
    for (const [j, line] of (placement.lettering?.further ?? []).entries())
      await look("threads", line.threadId, at(`lettering.further.${j}.threadId`), "a thread of the list");
    checkLettering(placement, hoop, at, wrong);
    await checkMachines(placement, look, at, wrong);
  }
}

type PlacementBody = shapes.ProductBody["placements"][number];

function checkLettering(
  placement: PlacementBody,
  hoop: Found | null,
  at: (field: string) => string,
  wrong: RefusalDetail[],
): void {
  if (!hoop || !placement.lettering) return;
  const { fieldWidthMm, fieldHeightMm } = hoop.body as { fieldWidthMm: number; fieldHeightMm: number };
  const { lettering } = placement;
  [lettering, ...(lettering.further ?? [])].forEach(({ maxWidthMm, heightMm }, index) => {
    const field = (name: string) => at(index === 0 ? `lettering.${name}` : `lettering.further.${index - 1}.${name}`); // prettier-ignore
    if (maxWidthMm > fieldWidthMm)
      wrong.push({
        field: field("maxWidthMm"),
        found: `${maxWidthMm} mm`,
        expected: `at most the ${fieldWidthMm} mm of ${hoop.name}`,
      });
    if (heightMm > fieldHeightMm)
      wrong.push({
        field: field("heightMm"),
        found: `${heightMm} mm`,
        expected: `at most the ${fieldHeightMm} mm of ${hoop.name}`,
      });
  });
}

async function checkMachines(
  placement: PlacementBody,
  look: Look,
  at: (field: string) => string,
  wrong: RefusalDetail[],
): Promise<void> {
  if (placement.machineIds === null) return;
  const machines: Found[] = [];
  for (const [j, id] of placement.machineIds.entries()) {
    const found = await look(
      "machines",
      id,
      at(`machineIds.${j}`),
      "a machine that embroiders",
      (body) => body.kind !== "straight-stitch",
    );
    if (found) machines.push(found);
  }
  const { hoopId } = placement;
  if (hoopId === null || machines.length === 0) return;
  if (!machines.some((machine) => (machine.body.hoopIds as string[]).includes(hoopId)))
    wrong.push({
      field: at("hoopId"),
      found: `a hoop that ${machines.map((machine) => machine.name).join(", ")} cannot take`,
      expected: "a hoop that one of the allowed machines takes",
    });
}
