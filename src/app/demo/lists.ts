import { centreStitches, demoMotif, writeMachineFile } from "#core/stitch";
import { labFromHex, nearestColour } from "#core/thread";
import { zipSync } from "fflate";
import { addDays } from "#core/shop";
import type { Door } from "./door";
import {
  demoHoops,
  demoMachines,
  demoPeople,
  demoPictures,
  demoProducts,
  demoStock,
  demoThreads,
  type HoopKey,
} from "./goods";

/** The ids of the demo's records by the words its maker knows them by. */
export interface DemoIds {
  readonly hoops: Readonly<Record<HoopKey, string>>;
  readonly threads: ReadonlyMap<string, string>;
  readonly stock: ReadonlyMap<string, string>;
  readonly people: ReadonlyMap<string, string>;
  /** Embroidery machines only, in order. */
  readonly machines: readonly { readonly id: string; readonly name: string }[];
  /** Those that sew flat goods. */
  readonly sewingMachines: readonly string[];
  readonly designs: ReadonlyMap<string, { readonly id: string; readonly name: string }>;
  readonly products: ReadonlyMap<string, string>;
}

/** Enters people, hoops, threads, stock and machines. */
export async function enterLists(door: Door, today: string): Promise<Omit<DemoIds, "designs" | "products">> {
  const people = new Map<string, string>();
  for (const person of demoPeople)
    people.set(person.name, (await door.ask("people.create", { body: { note: "", ...person } })).id);
  const hoops = {
    side: (await door.ask("hoops.create", { body: { note: "", ...demoHoops.side } })).id,
    large: (await door.ask("hoops.create", { body: { note: "", ...demoHoops.large } })).id,
  };
  const threads = new Map<string, string>();
  for (const [code, name, rgb, metresLeft] of demoThreads) {
    const body = {
      code,
      name,
      rgb,
      fibre: "polyester",
      densityTex: 27,
      metresPerCone: 1000,
      cones: Math.ceil(metresLeft / 1000),
      metresLeft,
      reorderMetres: 1000,
      note: "",
    };
    threads.set(code, (await door.ask("threads.create", { body })).id);
  }
  const stock = new Map<string, string>();
  for (const [kind, code, name, colour, size, unit, onHand, reorderPoint] of demoStock) {
    stock.set(
      code,
      (
        await door.ask("stock.create", {
          body: { kind, code, name, colour, size, unit, onHand, reorderPoint, note: "" },
        })
      ).id,
    );
  }
  const machines: { id: string; name: string }[] = [];
  const sewingMachines: string[] = [];
  for (const { body, needles, hours, bought } of demoMachines) {
    const made = await door.ask("machines.create", {
      body: {
        note: "",
        ...body,
        needles: needles.map((thread, index) => ({
          number: index + 1,
          threadId: thread === null ? null : threads.get(thread.replace("*", ""))!,
          sizeNm: 75,
          point: "sharp",
          fixed: thread?.startsWith("*") ?? false,
          stitchesSinceChange: 9000 + 13_000 * (index % 4),
        })),
        hoopIds: needles.length === 0 ? [] : [hoops.side, hoops.large],
        hourMeter: hours === null ? null : { hours, readOn: addDays(today, -1) },
        bought: { on: addDays(today, -365 * bought[0]), priceCents: bought[1] },
      },
    });
    if (needles.length > 0) machines.push({ id: made.id, name: made.name });
    else sewingMachines.push(made.id);
  }
  return { people, hoops, threads, stock, machines, sewingMachines };
}

/** Makes the pictures, writes them as machine files, brings those in (some one by one, the rest as a zip), and chooses threads. */
export async function bringInPictures(
  door: Door,
  threads: ReadonlyMap<string, string>,
): Promise<DemoIds["designs"]> {
  const card = demoThreads.map(([code, , rgb]) => ({ code, lab: labFromHex(rgb)! }));
  const made = demoPictures.map(([motif, widthMm]) => {
    const { stitches, title, colours } = demoMotif(motif, { widthMm });
    return {
      motif,
      title,
      colours,
      fileName: `${title.toLowerCase().replace(/[^a-z0-9]+/g, "-")}.dst`,
      bytes: writeMachineFile(centreStitches(stitches), title),
    };
  });
  const ONE_BY_ONE = 3;
  const brought = [];
  for (const { fileName, bytes } of made.slice(0, ONE_BY_ONE))
    brought.push(...(await door.ask("bringInDesigns", { query: { name: fileName }, body: bytes })).brought);
  const archive = zipSync(
    Object.fromEntries(made.slice(ONE_BY_ONE).map(({ fileName, bytes }) => [fileName, bytes])),
    { mtime: new Date(2020, 0, 1) },
  );
  brought.push(
    ...(await door.ask("bringInDesigns", { query: { name: "quay-pictures.zip" }, body: archive })).brought,
  );

  const designs = new Map<string, { id: string; name: string }>();
  for (const { motif, title, colours, fileName } of made) {
    const one = brought.find((design) => design.fileName === fileName);
    if (!one) throw new Error(`the demo's picture ${fileName} was not brought in`);
    const nearest = colours.map(({ hex }) => threads.get(nearestOf(card, hex))!);
    await door.ask("chooseThreads", { params: { id: one.versionId }, body: { threadIds: nearest } });
    const { design } = await door.ask("readDesign", { params: { id: one.designId } });
    const named = await door.ask("changeDesign", {
      params: { id: one.designId },
      body: { name: title, note: "" },
      ifMatch: design.version,
    });
    designs.set(motif, { id: one.designId, name: named.name });
  }
  return designs;
}

function nearestOf(
  card: readonly { readonly code: string; readonly lab: NonNullable<ReturnType<typeof labFromHex>> }[],
  hex: string,
): string {
  return nearestColour(labFromHex(hex)!, card)!.choice.code;
}

/** Enters the twelve products with their placements. */
export async function enterProducts(
  door: Door,
  ids: Omit<DemoIds, "products">,
): Promise<DemoIds["products"]> {
  const products = new Map<string, string>();
  for (const product of demoProducts) {
    const { id } = await door.ask("products.create", {
      body: {
        code: product.code,
        name: product.name,
        kind: product.kind,
        cloth: product.cloth,
        blankId: product.blank === null ? null : ids.stock.get(product.blank)!,
        sewS: product.sewS,
        priceCents: product.priceCents,
        caution: product.caution,
        note: "",
        placements: product.placements.map((placement, index) => ({
          id: `${product.code.toLowerCase()}-${index + 1}`,
          name: placement.name,
          where: placement.where,
          hoopId: ids.hoops[placement.hoop],
          backingId: ids.stock.get(placement.backing)!,
          toppingId: placement.topping === null ? null : ids.stock.get(placement.topping)!,
          needleSizeNm: placement.needle[0],
          needlePoint: placement.needle[1],
          designId: placement.picture === null ? null : ids.designs.get(placement.picture)!.id,
          lettering: placement.lettering && {
            heightMm: placement.lettering.heightMm,
            maxWidthMm: placement.lettering.maxWidthMm,
            threadId: ids.threads.get(placement.lettering.thread)!,
            place: placement.lettering.place,
          },
          machineIds: null,
          hoopS: null,
          unhoopS: null,
          finishS: null,
        })),
      },
    });
    products.set(product.code, id);
  }
  return products;
}
