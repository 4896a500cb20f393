/** A small studio with a picture, a hoop, threads and products to order; and orders as a person would type them. */
import type { Answer } from "#contract";
import { composeStitches, letterText, writeMachineFile } from "#core/stitch";
import { hoopBody, machineBody, placementBody, productBody, threadBody } from "./catalogue";
import { type TestProgram, testProgram } from "./program";

export interface OrderBook {
  readonly program: TestProgram;
  readonly navy: string;
  readonly gold: string;
  readonly hoop: string;
  readonly machine: string;
  /** A picture of two parts, threads navy and gold. */
  readonly wave: { readonly designId: string; readonly versionId: string };
  /** Swim robe: the wave with the name below. */
  readonly robe: string;
  /** Towel: the name alone. */
  readonly towel: string;
  /** Kit bag: the order must name a picture; no lettering. */
  readonly bag: string;
  /** Napkins: only sewn. */
  readonly napkin: string;
  order(own?: Record<string, unknown>): Promise<Answer<"createOrder">>;
  pieces(orderId: string): Promise<Answer<"readOrder">["pieces"]>;
  move(
    pieceIds: readonly string[],
    state: string,
    more?: Record<string, unknown>,
  ): Promise<Answer<"movePieces">>;
}

/** A machine file of a picture of two parts, about 30 mm wide. */
export function waveFile(): Uint8Array {
  const part = (text: string, y: number) => ({
    stitches: letterText(text, { heightMm: 12 }).stitches,
    yTenths: y,
  });
  return writeMachineFile(composeStitches([part("SS", 80), part("OO", -80)]), "WAVE");
}

export const lineOf = (productId: string, own: Record<string, unknown> = {}) => ({
  productId,
  quantity: 1,
  note: "",
  ...own,
});

export async function orderBook(asked: Parameters<typeof testProgram>[0] = {}): Promise<OrderBook> {
  const program = await testProgram({ ...asked, setUp: true });
  const made = async (
    name: "threads.create" | "hoops.create" | "machines.create" | "products.create",
    body: unknown,
  ) => (await program.ask(name, { body })).id;
  const navy = await made("threads.create", threadBody({ code: "N11", name: "Navy" }));
  const gold = await made("threads.create", threadBody({ code: "G2", name: "Gold", rgb: "#c9a227" }));
  const hoop = await made("hoops.create", hoopBody({ name: "Broad", fieldWidthMm: 200, fieldHeightMm: 140 }));
  const machine = await made("machines.create", machineBody({ name: "Heron", hoopIds: [hoop] }));
  const { brought } = await program.ask("bringInDesigns", { query: { name: "wave.dst" }, body: waveFile() });
  const wave = { designId: brought[0]!.designId, versionId: brought[0]!.versionId };
  await program.ask("chooseThreads", { params: { id: wave.versionId }, body: { threadIds: [navy, gold] } });
  const lettering = { heightMm: 15, maxWidthMm: 180, threadId: navy };
  const robe = await made(
    "products.create",
    productBody({
      code: "ROBE",
      name: "Swim robe",
      cloth: "woven",
      priceCents: 6500,
      placements: [
        placementBody({
          id: "chest",
          hoopId: hoop,
          designId: wave.designId,
          lettering: { ...lettering, place: "below" },
        }),
      ],
    }),
  );
  const towel = await made(
    "products.create",
    productBody({
      code: "TOWEL",
      name: "Harbour towel",
      cloth: "woven",
      priceCents: 2400,
      placements: [
        placementBody({ id: "hem", name: "Hem", hoopId: hoop, lettering: { ...lettering, place: "alone" } }),
      ],
    }),
  );
  const bag = await made(
    "products.create",
    productBody({
      code: "BAG",
      name: "Kit bag",
      cloth: "woven",
      placements: [placementBody({ id: "front", name: "Front", hoopId: hoop })],
    }),
  );
  const napkin = await made(
    "products.create",
    productBody({
      code: "NAP",
      name: "Napkin",
      kind: "sewn",
      cloth: "woven",
      placements: [],
      sewS: 300,
      priceCents: 900,
    }),
  );
  return {
    program,
    navy,
    gold,
    hoop,
    machine,
    wave,
    robe,
    towel,
    bag,
    napkin,
    order: (own = {}) =>
      program.ask(
        "createOrder",
        {
          body: {
            reference: "1005",
            customer: "Iris Ostrander",
            channel: "market",
            placedOn: "2026-11-20",
            promiseDate: "2026-12-04",
            note: "",
            lines: [lineOf(robe, { personalText: "Iris" })],
            ...own,
          },
        },
        { who: "Mara" },
      ),
    pieces: async (orderId) => (await program.ask("readOrder", { params: { id: orderId } })).pieces,
    move: (pieceIds, state, more = {}) =>
      program.ask("movePieces", { body: { pieceIds, state, ...more } }, { who: "Mara" }),
  };
}
