import type { FloorDay } from "./floor-day";

export const PHONE_ORIGIN = "http://192.168.178.120:4700";

/** Asks for paper with what a page leaves out filled in. */
export function asking({ paper, program }: Pick<FloorDay, "paper" | "program">) {
  // Tickets are scanned with phones: their codes carry the address phones use, not the one the printing page did.
  const call = program.call({ phoneOrigin: PHONE_ORIGIN });
  const sheet = (query: object) => ({
    params: {},
    query: { paper: "", machine: "", day: "", ...query },
    body: undefined,
  });
  return {
    tickets: async (query: object = {}) =>
      (await paper.tickets(sheet({ piece: "", ...query }) as never, call)).bytes,
    threadingList: async (query: object = {}) =>
      (await paper.threadingList(sheet(query) as never, call)).bytes,
    pickList: async (query: object = {}) => (await paper.pickList(sheet(query) as never, call)).bytes,
    machineDay: async (query: object = {}) => paper.machineDay(sheet(query) as never, call),
    table: async (table: string, archived: "no" | "all" = "no") =>
      paper.tableFile({ params: { table }, query: { archived }, body: undefined } as never, call),
    calendar: async () =>
      new TextDecoder().decode(
        (await paper.calendar({ params: {}, query: {}, body: undefined } as never, call)).bytes,
      ),
  };
}
