import type { Migration } from "./index";

/** Fonts the studio has added: the file lies in the file store. */
export const fonts: Migration = {
  name: "0004-fonts",
  sql: `
create table fonts (
  id $text primary key not null, version bigint not null, archived smallint not null,
  created_at_ms bigint not null, updated_at_ms bigint not null,
  name $text not null, file_name $text not null, file_hash $text not null);
create index fonts_by_name on fonts (archived, name);
`,
};
