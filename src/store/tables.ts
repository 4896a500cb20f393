import type { Generated } from "kysely";

/**
 * The tables, one schema for both databases: text ids, smallint booleans (0 or 1), bigint milliseconds, JSON as
 * text. Columns that are searched, sorted or joined stand by themselves; what only travels with a record is JSON.
 */

interface Kept {
  id: string;
  /** Rises by one with every change; the ETag. */
  version: number;
  archived: number;
  created_at_ms: number;
  updated_at_ms: number;
}

/** One row: the studio. `body` is shapes.StudioBody. */
export interface StudioTable {
  id: string;
  version: number;
  updated_at_ms: number;
  body: string;
  /** 1 for the demo studio. */
  demo: number;
}

/** People, machines, hoops, threads, stock, products: one table each with this form. */
export interface CatalogueTable extends Kept {
  /** The code, where the noun has one, otherwise empty. */
  code: string;
  name: string;
  /** What the search looks through, lower case. */
  search: string;
  /** The noun's body as the contract has it. */
  body: string;
}

export interface DesignTable extends Kept {
  name: string;
  note: string;
  search: string;
  /** picture: brought in or made for many; personal: made for one order line. */
  kind: string;
  latest_version_id: string | null;
}

export interface DesignVersionTable {
  id: string;
  design_id: string;
  number: number;
  source: string;
  file_name: string;
  made_at_ms: number;
  /** SHA-256 of the machine file in the file store, hex. */
  file_hash: string;
  /** What it was made of (recipe, text, base version) as JSON, or null. */
  making: string | null;
  /** Same making, same key: nothing is made twice. */
  making_key: string | null;
  stitches: number;
  jumps: number;
  stops: number;
  trims: number;
  /** The rest of shapes.DesignVersion's report: extents, shortest, longest, shares, part sizes. */
  report: string;
  findings: string;
  /** JSON: a thread id or null for each part. */
  thread_ids: string;
}

/** A font the studio has added. */
export interface FontTable extends Kept {
  /** Of the font itself: its family's. */
  name: string;
  file_name: string;
  /** SHA-256 of the font file in the file store, hex. */
  file_hash: string;
}

export interface OrderTable extends Kept {
  reference: string;
  customer: string;
  channel: string;
  placed_on: string;
  promise_date: string;
  ship_by: string;
  note: string;
  search: string;
  /** How many of its pieces are not closed; 0 means nothing is left to do. Kept by whoever changes pieces. */
  open_pieces: number;
}

export interface OrderLineTable {
  id: string;
  order_id: string;
  position: number;
  product_id: string;
  quantity: number;
  personal_text: string;
  design_id: string | null;
  thread_ids: string | null;
  text_thread_id: string | null;
  price_cents: number | null;
  note: string;
  /** The channel's own number of the line, or null. */
  line_reference: string | null;
}

export interface PieceTable {
  id: string;
  version: number;
  code: string;
  order_id: string;
  line_id: string;
  product_id: string;
  personal_text: string;
  state: string;
  waiting_for: string | null;
  urgency: string;
  held_why: string;
  pinned_machine_id: string | null;
  remake_of: string | null;
  ship_by: string;
  search: string;
  state_changed_at_ms: number;
  created_at_ms: number;
  updated_at_ms: number;
}

/** One run of a piece on a machine. */
export interface JobTable {
  id: string;
  version: number;
  piece_id: string;
  placement_id: string;
  placement_name: string;
  position: number;
  design_version_id: string | null;
  trouble: string | null;
  thread_ids: string;
  hoop_id: string | null;
  machine_ids: string | null;
  hoop_s: number | null;
  unhoop_s: number | null;
  finish_s: number | null;
  stitches: number;
  sewn: number;
  /** JSON: which of "design", "threads", "hoop", "machines" a person has set on this job; the rest follows the product and the order line. */
  by_hand: string;
  updated_at_ms: number;
}

/** Append-only; `hash` is SHA-256 over the previous hash and the row's own values, so that damage is seen. */
export interface FloorEventTable {
  seq: Generated<number>;
  id: string;
  at_ms: number;
  recorded_at_ms: number;
  person_id: string | null;
  who: string;
  kind: string;
  piece_id: string | null;
  job_id: string | null;
  machine_id: string | null;
  /** JSON: state from and to, why, and so on. */
  data: string;
  prev_hash: string;
  hash: string;
}

/** One setting of what counts by its last word (core/floor's Register); `value` is JSON. */
export interface FloorRegisterTable {
  kind: string;
  subject: string;
  at_ms: number;
  event_id: string;
  value: string;
}

/** One run as its events tell it; `run` is JSON of core/floor's Run. Follows from the events. */
export interface FloorRunTable {
  job_id: string;
  piece_id: string;
  machine_id: string | null;
  stage: string;
  started_at_ms: number | null;
  ended_at_ms: number | null;
  finished_at_ms: number | null;
  /** Its newest event. */
  last_at_ms: number;
  sewed_ms: number;
  /** Stitches sewn so far. */
  stitches: number;
  run: string;
}

export interface PlanTable {
  id: string;
  made_at_ms: number;
  starts_at_ms: number;
  /** 1 for the plan in force; at most one. */
  current: number;
  /** Number of the last record change the problem has seen: plans older than the records are stale. */
  seen_change: number;
  pieces: number;
  problem: string;
  plan: string;
  /** JSON of what pages need beside the plan: names, left-out pieces, reasons, headline. */
  context: string;
  totals: string;
  bounds: string;
}

export interface ImportTable {
  id: string;
  file_name: string;
  file_hash: string;
  made_at_ms: number;
  state: string;
  /** JSON of shapes.ImportRecord without what has its own column. */
  body: string;
}

export interface ImportBadRowTable {
  import_id: string;
  line: number;
  cells: string;
  reasons: string;
}

/** How files of one shape (their headings) are read: asked once. */
export interface ImportShapeTable {
  shape_key: string;
  reading: string;
  updated_at_ms: number;
}

/** Every tracked write, with what is needed to take it back. */
export interface ChangeTable {
  seq: Generated<number>;
  id: string;
  at_ms: number;
  who: string;
  what: string;
  /** JSON: [{table, id, before, after}]. */
  entries: string;
  undone_by: string | null;
}

/** Ids of the records a change touched, for "history of this record". */
export interface ChangeRecordTable {
  change_seq: number;
  record_id: string;
}

/** Answers kept 30 days, so that a request sent twice acts once. */
export interface AnsweredRequestTable {
  key: string;
  request_hash: string;
  status: number;
  answer: string;
  at_ms: number;
}

/** A tablet or phone that was let in. Never through a tracked write: taking a change back must not let one in again. */
export interface DeviceTable {
  id: string;
  name: string;
  /** SHA-256 of its token, hex. */
  token_hash: string;
  paired_at_ms: number;
  last_seen_at_ms: number;
  /** Null while it is let in. */
  turned_out_at_ms: number | null;
}

export interface SettingTable {
  key: string;
  value: string;
}

/** A phone and its camera's lens: core/placing's measures as JSON. */
export interface PhoneTable extends Kept {
  name: string;
  body: string;
}

/** One physical hoop of a kind with the markers it carries; `body` is what was taught of it. */
export interface TaughtHoopTable extends Kept {
  hoop_id: string;
  label: string;
  body: string;
}

/** How a product's placement is measured and how exact it must be. `id` is `product/placement`. */
export interface PlacementRuleTable {
  id: string;
  version: number;
  updated_at_ms: number;
  product_id: string;
  placement_id: string;
  body: string;
}

/** What a machine can be told of an angle and a shift; `id` is the machine's. */
export interface MachineStepsTable {
  id: string;
  version: number;
  updated_at_ms: number;
  body: string;
}

/** One placing as it was kept. */
export interface PlacingTable {
  id: string;
  version: number;
  updated_at_ms: number;
  made_at_ms: number;
  /** first: on cloth not sewn yet; again: back onto what was sewn. */
  kind: string;
  /** kept, unsure (marks kept, nothing given) or withdrawn. */
  state: string;
  way: string;
  piece_id: string;
  job_id: string;
  product_id: string;
  placement_id: string;
  machine_id: string;
  hoop_id: string | null;
  taught_hoop_id: string | null;
  person_id: string | null;
  phone_id: string | null;
  design_version_id: string;
  /** The hooping it was made in, as far as it had been told. */
  hooped_at_ms: number | null;
  /** How long the run had sewn before. */
  sewed_ms: number;
  /** How the cloth lay in the hoop against straight: turn counter-clockwise, and how far off, mm. */
  angle_rad: number;
  shift_x_mm: number;
  shift_y_mm: number;
  /** JSON: marks, result, what was given to the machine. */
  body: string;
}

/** The small photo of a placing; not undone with it. */
export interface PlacingPhotoTable {
  placing_id: string;
  file_hash: string;
  bytes: number;
  width_px: number;
  height_px: number;
  kept_at_ms: number;
}

/** The studio's own figures of cost, one row. `body` is the contract's CostSettings. */
export interface CostSettingsTable {
  id: string;
  version: number;
  updated_at_ms: number;
  body: string;
}

/** What one thing costs; exactly one of the four ids is set, and `id` is the same. */
export interface CostFigureTable {
  id: string;
  version: number;
  updated_at_ms: number;
  stock_id: string | null;
  thread_id: string | null;
  machine_id: string | null;
  product_id: string | null;
  body: string;
}

/** A quote that is kept; `body` is the contract's QuoteAsked, `sent` JSON of app/costs' SentQuote once it went out. */
export interface QuoteTable extends Kept {
  number: number;
  /** draft, sent, agreed, declined. */
  state: string;
  customer: string;
  reference: string;
  valid_until: string;
  total_cents: number;
  search: string;
  /** The order that was made of it. */
  order_id: string | null;
  body: string;
  sent: string | null;
}

/** A purchase that was considered; `body` is the contract's PurchaseBody. */
export interface PurchaseTable extends Kept {
  name: string;
  body: string;
}

/** A question to the shop; `basis` is the shop as it stood when it was asked (JSON of app/what-if's Basis). */
export interface WhatIfRunTable {
  id: string;
  asked_at_ms: number;
  finished_at_ms: number | null;
  /** running, stopped, done, failed. */
  state: string;
  title: string;
  sentence: string;
  failure: string | null;
  question: string;
  basis: string;
  assumptions: string;
}

/** A shop that is played: `changes` is JSON of core/floor's Change[]. */
export interface WhatIfCandidateTable {
  run_id: string;
  number: number;
  role: string;
  changes: string;
}

/** One season of one shop. */
export interface WhatIfPlayTable {
  run_id: string;
  candidate: number;
  season: number;
  /** open, taken, stopped, done. */
  state: string;
  worker: string | null;
  lease_until_ms: number | null;
  outcome: string | null;
}

export interface Tables {
  studio: StudioTable;
  people: CatalogueTable;
  machines: CatalogueTable;
  hoops: CatalogueTable;
  threads: CatalogueTable;
  stock: CatalogueTable;
  products: CatalogueTable;
  designs: DesignTable;
  design_versions: DesignVersionTable;
  fonts: FontTable;
  orders: OrderTable;
  order_lines: OrderLineTable;
  pieces: PieceTable;
  jobs: JobTable;
  floor_events: FloorEventTable;
  floor_registers: FloorRegisterTable;
  /** The present value of each register. */
  floor_standing: FloorRegisterTable;
  floor_runs: FloorRunTable;
  plans: PlanTable;
  imports: ImportTable;
  import_bad_rows: ImportBadRowTable;
  import_shapes: ImportShapeTable;
  changes: ChangeTable;
  change_records: ChangeRecordTable;
  answered_requests: AnsweredRequestTable;
  settings: SettingTable;
  phones: PhoneTable;
  taught_hoops: TaughtHoopTable;
  placement_rules: PlacementRuleTable;
  machine_steps: MachineStepsTable;
  placings: PlacingTable;
  placing_photos: PlacingPhotoTable;
  devices: DeviceTable;
  what_if_runs: WhatIfRunTable;
  what_if_candidates: WhatIfCandidateTable;
  what_if_plays: WhatIfPlayTable;
  cost_settings: CostSettingsTable;
  cost_figures: CostFigureTable;
  quotes: QuoteTable;
  purchases: PurchaseTable;
}
