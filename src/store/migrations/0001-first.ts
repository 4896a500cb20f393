import type { Migration } from "./index";

const catalogueTable = (noun: string) => `
create table ${noun} (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null,
  code $text not null, name $text not null, search $text not null, body $text not null);
create index ${noun}_by_name on ${noun} (name);
create index ${noun}_by_code on ${noun} (code);`;

/**
 * The tables as tables.ts has them. Floor events and plans are history: they must stay when what they tell of is
 * taken back, so they name records without a foreign key; so do the ids inside JSON.
 */
export const first: Migration = {
  name: "0001-first",
  sql: `
create table studio (id $text primary key not null, version bigint not null, updated_at_ms bigint not null, body $text not null, demo smallint not null);
${["people", "machines", "hoops", "threads", "stock", "products"].map(catalogueTable).join("\n")}

create table designs (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null,
  name $text not null, note $text not null, search $text not null, kind $text not null, latest_version_id $text);
create index designs_by_kind on designs (kind, archived, name);

create table design_versions (
  id $text primary key not null, design_id $text not null references designs (id) on delete restrict,
  number bigint not null, source $text not null, file_name $text not null, made_at_ms bigint not null, file_hash $text not null,
  making $text, making_key $text, stitches bigint not null, jumps bigint not null, stops bigint not null, trims bigint not null,
  report $text not null, findings $text not null, thread_ids $text not null);
create index design_versions_by_design on design_versions (design_id, number);
create index design_versions_by_making on design_versions (making_key);
create index design_versions_by_file on design_versions (file_hash);

create table orders (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null,
  reference $text not null, customer $text not null, channel $text not null,
  placed_on $text not null, promise_date $text not null, ship_by $text not null,
  note $text not null, search $text not null, open_pieces bigint not null);
create unique index orders_by_reference on orders (reference);
create index orders_by_ship_by on orders (ship_by, id);
create index orders_by_open on orders (ship_by, id) where open_pieces > 0;
create index orders_by_placed on orders (placed_on);
create index orders_by_customer on orders (customer);

create table order_lines (
  id $text primary key not null, order_id $text not null references orders (id) on delete restrict,
  position bigint not null, product_id $text not null references products (id) on delete restrict,
  quantity bigint not null, personal_text $text not null,
  design_id $text references designs (id) on delete restrict, thread_ids $text,
  text_thread_id $text references threads (id) on delete restrict,
  price_cents bigint, note $text not null, line_reference $text);
create index order_lines_by_order on order_lines (order_id, position);
create index order_lines_by_product on order_lines (product_id);
create index order_lines_by_design on order_lines (design_id);
create index order_lines_by_text_thread on order_lines (text_thread_id);

create table pieces (
  id $text primary key not null, version bigint not null, code $text not null,
  order_id $text not null references orders (id) on delete restrict,
  line_id $text not null references order_lines (id) on delete restrict,
  product_id $text not null references products (id) on delete restrict,
  personal_text $text not null, state $text not null, waiting_for $text, urgency $text not null, held_why $text not null,
  pinned_machine_id $text references machines (id) on delete restrict,
  remake_of $text references pieces (id) on delete restrict,
  ship_by $text not null, search $text not null,
  state_changed_at_ms bigint not null, created_at_ms bigint not null, updated_at_ms bigint not null);
create index pieces_by_state on pieces (state, ship_by, id);
create index pieces_by_ship_by on pieces (ship_by, id);
create index pieces_by_order on pieces (order_id);
create index pieces_by_line on pieces (line_id);
create index pieces_by_product on pieces (product_id);
create index pieces_by_code on pieces (code);
create index pieces_by_remake on pieces (remake_of);
create index pieces_by_pin on pieces (pinned_machine_id);

create table jobs (
  id $text primary key not null, version bigint not null,
  piece_id $text not null references pieces (id) on delete restrict,
  placement_id $text not null, placement_name $text not null, position bigint not null,
  design_version_id $text references design_versions (id) on delete restrict, trouble $text, thread_ids $text not null,
  hoop_id $text references hoops (id) on delete restrict, machine_ids $text,
  hoop_s bigint, unhoop_s bigint, finish_s bigint, stitches bigint not null, sewn smallint not null, by_hand $text not null, updated_at_ms bigint not null);
create index jobs_by_piece on jobs (piece_id, position);
create index jobs_by_design_version on jobs (design_version_id);
create index jobs_by_hoop on jobs (hoop_id);

create table floor_events (
  seq $number, id $text not null, at_ms bigint not null, recorded_at_ms bigint not null,
  person_id $text, who $text not null, kind $text not null, piece_id $text, job_id $text, machine_id $text,
  data $text not null, prev_hash $text not null, hash $text not null);
create unique index floor_events_by_id on floor_events (id);
create index floor_events_by_piece on floor_events (piece_id, at_ms);
create index floor_events_by_at on floor_events (at_ms);
create index floor_events_by_machine on floor_events (machine_id, at_ms);

create table plans (
  id $text primary key not null, made_at_ms bigint not null, starts_at_ms bigint not null, current smallint not null,
  seen_change bigint not null, pieces bigint not null,
  problem $text not null, plan $text not null, context $text not null, totals $text not null, bounds $text not null);
create index plans_by_made on plans (made_at_ms);
create unique index plans_in_force on plans (current) where current = 1;

create table imports (
  id $text primary key not null, file_name $text not null, file_hash $text not null,
  made_at_ms bigint not null, state $text not null, body $text not null);
create index imports_by_made on imports (made_at_ms);
create table import_bad_rows (
  import_id $text not null references imports (id) on delete restrict, line bigint not null,
  cells $text not null, reasons $text not null, primary key (import_id, line));
create table import_shapes (shape_key $text primary key not null, reading $text not null, updated_at_ms bigint not null);

create table changes (
  seq $number, id $text not null, at_ms bigint not null, who $text not null, what $text not null,
  entries $text not null, undone_by $text);
create unique index changes_by_id on changes (id);
create table change_records (
  change_seq bigint not null references changes (seq) on delete restrict, record_id $text not null,
  primary key (record_id, change_seq));
create index change_records_by_change on change_records (change_seq);

create table answered_requests (
  key $text primary key not null, request_hash $text not null, status bigint not null, answer $text not null, at_ms bigint not null);
create index answered_requests_by_at on answered_requests (at_ms);
create table settings (key $text primary key not null, value $text not null);
`,
};
