import { first } from "./0001-first";
import { lists } from "./0002-lists";
import { searching } from "./0003-searching";
import { fonts } from "./0004-fonts";
import { floor } from "./0005-floor";
import { devices } from "./0006-devices";
import { placing } from "./0007-placing";
import { costing } from "./0009-costing";
import { whatIf } from "./0010-what-if";
import { quotes } from "./0011-quotes";

/** One step of the schema. Never edited once released: a later step mends an earlier one. */
export interface Migration {
  readonly name: string;
  /** Statements for both databases; `$text` is a text column in byte order, `$number` a rising whole-number key. */
  readonly sql: string;
}

/** In the order they are run; a database's schema number is how many of them it has. */
export const migrations: readonly Migration[] = [
  first,
  lists,
  searching,
  fonts,
  floor,
  devices,
  placing,
  costing,
  whatIf,
  quotes,
];
