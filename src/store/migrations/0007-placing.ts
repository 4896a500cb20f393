import type { Migration } from "./index";

/**
 * Placing: phones and their lenses, hoops as they were taught, how products want their designs to sit, what a machine
 * can be told, and each placing that was kept. A placing tells what happened, as floor events do, and so names pieces,
 * runs and people without a foreign key; photos stand apart, so that one that is deleted leaves nothing to take back.
 */
export const placing: Migration = {
  name: "0007-placing",
  sql: `
create table phones (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null, name $text not null, body $text not null);
create table taught_hoops (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null,
  hoop_id $text not null references hoops (id) on delete restrict, label $text not null, body $text not null);
create index taught_hoops_by_hoop on taught_hoops (hoop_id, archived);
create table placement_rules (
  id $text primary key not null, version bigint not null, updated_at_ms bigint not null,
  product_id $text not null references products (id) on delete restrict, placement_id $text not null, body $text not null);
create unique index placement_rules_by_placement on placement_rules (product_id, placement_id);
create table machine_steps (
  id $text primary key not null references machines (id) on delete restrict,
  version bigint not null, updated_at_ms bigint not null, body $text not null);
create table placings (
  id $text primary key not null, version bigint not null, updated_at_ms bigint not null, made_at_ms bigint not null,
  kind $text not null, state $text not null, way $text not null,
  piece_id $text not null, job_id $text not null, product_id $text not null, placement_id $text not null,
  machine_id $text not null, hoop_id $text, taught_hoop_id $text, person_id $text, phone_id $text,
  design_version_id $text not null, hooped_at_ms bigint, sewed_ms bigint not null,
  angle_rad double precision not null, shift_x_mm double precision not null, shift_y_mm double precision not null,
  body $text not null);
create index placings_by_job on placings (job_id, made_at_ms);
create index placings_by_piece on placings (piece_id, made_at_ms);
create index placings_by_made on placings (made_at_ms);
create table placing_photos (
  placing_id $text primary key not null, file_hash $text not null, bytes bigint not null,
  width_px bigint not null, height_px bigint not null, kept_at_ms bigint not null);
create index placing_photos_by_file on placing_photos (file_hash);
`,
};
