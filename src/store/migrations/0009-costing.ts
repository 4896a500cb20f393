import type { Migration } from "./index";

/**
 * What things cost: one row of the studio's own figures, and one a thing (stock item, thread, machine, product). Prices
 * stand beside the lists and not in them, so that a list stays what the floor needs of it.
 */
export const costing: Migration = {
  name: "0009-costing",
  sql: `
create table cost_settings (
  id $text primary key not null, version bigint not null, updated_at_ms bigint not null, body $text not null);
create table cost_figures (
  id $text primary key not null, version bigint not null, updated_at_ms bigint not null,
  stock_id $text references stock (id) on delete restrict,
  thread_id $text references threads (id) on delete restrict,
  machine_id $text references machines (id) on delete restrict,
  product_id $text references products (id) on delete restrict,
  body $text not null);
create unique index cost_figures_by_stock on cost_figures (stock_id);
create unique index cost_figures_by_thread on cost_figures (thread_id);
create unique index cost_figures_by_machine on cost_figures (machine_id);
create unique index cost_figures_by_product on cost_figures (product_id);
`,
};
