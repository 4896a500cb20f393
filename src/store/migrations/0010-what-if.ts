import type { Migration } from "./index";

/**
 * What if: a question with the shop as it stood when it was asked, the shops that are compared, and one row for each
 * season each of them plays. A play is open, taken (until its lease ends), stopped or done; done is never undone.
 */
export const whatIf: Migration = {
  name: "0010-what-if",
  sql: `
create table what_if_runs (
  id $text primary key not null, asked_at_ms bigint not null, finished_at_ms bigint, state $text not null,
  title $text not null, sentence $text not null, failure $text,
  question $text not null, basis $text not null, assumptions $text not null);
create table what_if_candidates (
  run_id $text not null references what_if_runs (id) on delete restrict, number bigint not null,
  role $text not null, changes $text not null, primary key (run_id, number));
create table what_if_plays (
  run_id $text not null references what_if_runs (id) on delete restrict, candidate bigint not null,
  season bigint not null, state $text not null, worker $text, lease_until_ms bigint, outcome $text,
  primary key (run_id, candidate, season));
create index what_if_plays_to_do on what_if_plays (state, run_id, season, candidate);
`,
};
