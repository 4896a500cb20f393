import type { Migration } from "./index";

/** Tablets and phones that were let in; of what they show at each request only the hash is kept. */
export const devices: Migration = {
  name: "0006-devices",
  sql: `
create table devices (
  id $text primary key not null, name $text not null, token_hash $text not null unique,
  paired_at_ms bigint not null, last_seen_at_ms bigint not null, turned_out_at_ms bigint);
`,
};
