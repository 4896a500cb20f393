import type { Migration } from "./index";

/**
 * Quotes and purchases that were considered. A quote's `body` is what was asked; `sent` holds its prices, day and sender
 * as they went out, so that it can be printed again whatever has changed since. Its products are named in the body only:
 * a quote outlives them.
 */
export const quotes: Migration = {
  name: "0011-quotes",
  sql: `
create table quotes (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null,
  number bigint not null, state $text not null, customer $text not null, reference $text not null,
  valid_until $text not null, total_cents bigint not null, search $text not null,
  order_id $text references orders (id) on delete restrict, body $text not null, sent $text);
create unique index quotes_by_number on quotes (number);
create index quotes_by_order on quotes (order_id);
create table purchases (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null, name $text not null, body $text not null);
`,
};
