import type { Migration } from "./index";

/** Indexes for the lists of a studio that has years of records: counting, searching and sorting without reading every row. */
export const lists: Migration = {
  name: "0002-lists",
  sql: `
create index orders_by_search on orders (archived, open_pieces, search);
create index orders_by_promise on orders (promise_date, id);
create index orders_by_updated on orders (updated_at_ms, id);
create index pieces_by_search on pieces (state, search);
`,
};
