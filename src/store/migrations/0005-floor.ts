import type { Migration } from "./index";

/**
 * What follows from the floor's events, kept beside them and rebuildable from them: registers (whose last setting
 * counts), their present values, and one row a run.
 */
export const floor: Migration = {
  name: "0005-floor",
  sql: `
create table floor_registers (
  kind $text not null, subject $text not null, at_ms bigint not null, event_id $text not null, value $text not null,
  primary key (kind, subject, at_ms, event_id));
create index floor_registers_by_event on floor_registers (event_id);
create table floor_standing (
  kind $text not null, subject $text not null, at_ms bigint not null, event_id $text not null, value $text not null,
  primary key (kind, subject));
create table floor_runs (
  job_id $text primary key not null, piece_id $text not null, machine_id $text, stage $text not null,
  started_at_ms bigint, ended_at_ms bigint, finished_at_ms bigint, last_at_ms bigint not null,
  sewed_ms bigint not null, stitches bigint not null, run $text not null);
create index floor_runs_by_piece on floor_runs (piece_id);
create index floor_runs_by_machine on floor_runs (machine_id, ended_at_ms, sewed_ms, stitches);
create index floor_runs_by_end on floor_runs (ended_at_ms);
create index floor_runs_by_last on floor_runs (last_at_ms);
create index floor_events_by_kind on floor_events (kind, at_ms);
`,
};
