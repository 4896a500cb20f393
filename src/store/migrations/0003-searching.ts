import type { Migration } from "./index";

/** The indexes of the search hold the ids too: what is found in few rows is gathered from the index alone. */
export const searching: Migration = {
  name: "0003-searching",
  sql: `
drop index orders_by_search;
create index orders_by_search on orders (archived, open_pieces, search, id);
drop index pieces_by_search;
create index pieces_by_search on pieces (state, search, id);
`,
};
