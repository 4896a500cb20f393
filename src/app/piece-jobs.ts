import type { shapes } from "#contract";
import { invariant } from "#core/base";
import { sewnTexts, shipByDate, unsewnTexts } from "#core/shop";
import { differenceOfTexts } from "#core/stitch";
import type { Store, Writing } from "#store";
import type { Context } from "./context";
import {
  findPersonal,
  keepPersonal,
  type Making,
  makePersonal,
  makingKeyOf,
  recipeLines,
  type PersonalDesign,
  type Recipe,
} from "./personal-designs";
import { textsOfVersion } from "./design-texts";
import {
  allOf,
  type DesignVersionRow,
  inPortions,
  type Kept,
  studioOf,
  type StudioKept,
  type VersionReport,
} from "./records";
import { refuseApp } from "./refusals";

/** What an order line says about the embroidery of its pieces. */
export interface LineFacts {
  readonly productId: string;
  readonly personalText: string;
  readonly designId: string | null;
  readonly threadIds: readonly (string | null)[] | null;
  readonly textThreadId: string | null;
}

/** One run as it follows from product, line and designs; times are null where the usual ones hold. */
export interface JobFacts {
  readonly placementId: string;
  readonly placementName: string;
  readonly designVersionId: string | null;
  readonly trouble: string | null;
  readonly threadIds: readonly (string | null)[];
  readonly hoopId: string | null;
  readonly machineIds: readonly string[] | null;
  readonly hoopS: number | null;
  readonly unhoopS: number | null;
  readonly finishS: number | null;
  readonly stitches: number;
}

/** What a person has set on a job, over what follows by itself. */
export interface SetByHand {
  /** Null: the person has taken the design away. */
  readonly design?: DesignVersionRow | null;
  readonly threadIds?: readonly (string | null)[];
  readonly hoopId?: string | null;
  readonly machineIds?: readonly string[] | null;
}

/** Designs under way at once. */
const LANES = 4;
/** So few are made on the spot; more go to threads of their own, and other requests are not held up. */
const FEW = 6;

interface VersionRead {
  readonly threadIds: readonly (string | null)[];
  readonly making: Partial<Making> | null;
  readonly findings: readonly shapes.FindingShape[];
  readonly report: VersionReport;
}

type Product = Kept<shapes.ProductBody>;
type Placement = Product["placements"][number];
type Reader = Store["db"];

/**
 * Works out the runs of pieces: from product and line to design, threads, hoop and machines. Used in three steps, so
 * that stitches are made before the database is held: `prepare` finds or makes designs, `keep` (inside the write)
 * keeps the new ones, `jobsOf` answers. Nothing is ever left out: what cannot be made carries its trouble in words.
 */
export class Workshop {
  readonly #pictures = new Map<string, { name: string; version: DesignVersionRow | null } | null>();
  readonly #versions = new Map<string, DesignVersionRow>();
  readonly #shipBy = new Map<string, string>();
  readonly #keys = new Map<string, string>();
  readonly #read = new WeakMap<DesignVersionRow, VersionRead>();
  readonly #personal = new Map<string, PersonalDesign | { readonly trouble: string }>();

  private constructor(
    readonly context: Context,
    readonly studio: StudioKept,
    readonly products: ReadonlyMap<string, Product>,
    readonly hoops: ReadonlyMap<string, Kept<shapes.HoopBody>>,
    readonly threads: ReadonlyMap<string, Kept<shapes.ThreadBody>>,
  ) {}

  /** Reads the lists once; `db` is the write's own where one is going on. */
  static async open(context: Context, db: Reader): Promise<Workshop> {
    const studio = await studioOf(db);
    if (!studio) throw refuseApp("not-set-up", "This data folder has no studio yet.");
    return new Workshop(
      context,
      studio,
      await allOf(db, "products"),
      await allOf(db, "hoops"),
      await allOf(db, "threads"),
    );
  }

  /** Finds the designs the lines need, making those that are not there yet. Gives way to other work between designs. */
  async prepare(
    db: Reader,
    lines: readonly LineFacts[],
    between: () => Promise<void> = async () => undefined,
  ): Promise<void> {
    await this.#loadPictures(db, [
      ...new Set(
        lines.flatMap((line) =>
          this.#placementsOf(line).flatMap((placement) => this.#pictureId(line, placement) ?? []),
        ),
      ),
    ]);
    const recipes = new Map<string, { recipe: Recipe; textThreadIds: readonly (string | null)[] }>();
    for (const line of lines)
      for (const placement of this.#placementsOf(line)) {
        const recipe = this.#recipe(line, placement);
        if (!recipe) continue;
        const key = this.#keyOf(recipe);
        if (!this.#personal.has(key))
          recipes.set(key, { recipe, textThreadIds: this.#textThreads(line, placement) });
      }
    for (const [key, version] of await findPersonal(db, [...recipes.keys()]))
      this.#personal.set(key, { key, version, design: null });
    // A few at a time: while one's machine file is synced to the disk, the next one's stitches are made.
    const waiting = [...recipes].filter(([key]) => !this.#personal.has(key)).values();
    const where = recipes.size - this.#knownOf(recipes.keys()) > FEW ? "in threads" : "here";
    const lane = async () => {
      for (const [key, { recipe, textThreadIds }] of waiting) {
        await between();
        this.#personal.set(key, await makePersonal(this.context, recipe, textThreadIds, where));
      }
    };
    await Promise.all(Array.from({ length: LANES }, lane));
  }

  #knownOf(keys: Iterable<string>): number {
    return [...keys].filter((key) => this.#personal.has(key)).length;
  }

  /** Keeps the designs made for these lines, unless another order has kept the same meanwhile. */
  async keep(writing: Writing, lines: readonly LineFacts[]): Promise<void> {
    const fresh = new Map<string, PersonalDesign>();
    for (const line of lines)
      for (const placement of this.#placementsOf(line)) {
        const recipe = this.#recipe(line, placement);
        const made = recipe && this.#personal.get(this.#keyOf(recipe));
        if (made && "version" in made && made.design !== null) fresh.set(made.key, made);
      }
    if (fresh.size === 0) return;
    for (const [key, version] of await findPersonal(writing.db, [...fresh.keys()])) {
      this.#personal.set(key, { key, version, design: null });
      fresh.delete(key);
    }
    await keepPersonal(writing, [...fresh.values()]);
    // Forgotten as fresh only by whoever reads them back: a write that fails must keep them again.
  }

  /** Versions that jobs point to by a person's choice, for `SetByHand` and for the base of personal designs. */
  async loadVersions(db: Reader, ids: readonly string[]): Promise<void> {
    const missing = [...new Set(ids)].filter((id) => !this.#versions.has(id));
    for (const row of await inPortions(missing, (portion) =>
      db.selectFrom("design_versions").selectAll().where("id", "in", portion).execute(),
    ))
      this.#versions.set(row.id, row);
  }
  version(id: string): DesignVersionRow | undefined {
    return this.#versions.get(id);
  }

  /** The runs of one piece of the line, one a placement; none for goods that are only sewn. */
  jobsOf(line: LineFacts, byHand: ReadonlyMap<string, SetByHand> = new Map()): JobFacts[] {
    const placements = this.#placementsOf(line);
    return placements.map((placement, position) => {
      const hand = byHand.get(placement.id) ?? {};
      const hoopId = hand.hoopId === undefined ? placement.hoopId : hand.hoopId;
      const design = this.#designOf(line, placement, hand);
      const threadIds =
        design.version === null ? [] : (hand.threadIds ?? this.#threadsOf(line, placement, design.version));
      const orphan = position === 0 ? this.#orphanTrouble(line) : null;
      const trouble =
        design.trouble ??
        (hand.design ? this.#spellingTrouble(line, placement, hand.design) : null) ??
        (design.version && this.#troubleWith(design.version, design.name, threadIds, hoopId)) ??
        (hand.design === undefined ? orphan : null);
      return {
        placementId: placement.id,
        placementName: placement.name,
        designVersionId: design.version?.id ?? null,
        trouble: trouble ?? null,
        threadIds,
        hoopId,
        machineIds: hand.machineIds === undefined ? placement.machineIds : hand.machineIds,
        hoopS: placement.hoopS,
        unhoopS: placement.unhoopS,
        finishS: placement.finishS,
        stitches: design.version?.stitches ?? 0,
      };
    });
  }

  /** The day a piece must leave to be there on the promise date, by the studio's days for the carrier. */
  shipBy(promiseDate: string): string {
    const { shipLeadDays, openHours, closedDays } = this.studio.body;
    const known =
      this.#shipBy.get(promiseDate) ?? shipByDate(promiseDate, shipLeadDays, openHours, closedDays);
    this.#shipBy.set(promiseDate, known);
    return known;
  }

  product(id: string): Product | undefined {
    return this.products.get(id);
  }

  #placementsOf(line: LineFacts): readonly Placement[] {
    const product = this.products.get(line.productId);
    return product?.kind === "embroidered" ? product.placements : [];
  }

  /** Placements the line's own picture goes to: those without one of their own, else the first that takes a picture. */
  #lineTargets(line: LineFacts): readonly Placement[] {
    const takers = this.#placementsOf(line).filter(takesPicture);
    const open = takers.filter((placement) => placement.designId === null);
    return line.designId !== null && open.length > 0 ? open : takers.slice(0, 1);
  }

  #pictureId(line: LineFacts, placement: Placement): string | null {
    if (!takesPicture(placement)) return null;
    return line.designId !== null && this.#lineTargets(line).includes(placement)
      ? line.designId
      : placement.designId;
  }

  /** The recipe of a placement that carries the line's text; null where it is sewn without. */
  #recipe(line: LineFacts, placement: Placement): Recipe | null {
    const { lettering } = placement;
    if (!lettering || line.personalText === "") return null;
    const pictureId = this.#pictureId(line, placement);
    const base = pictureId === null ? null : (this.#pictures.get(pictureId)?.version ?? null);
    if (lettering.place !== "alone" && base === null) return null;
    const [first, ...rest] = recipeLines(placement.lettering, line.personalText);
    if (!first) return null;
    const { cloth } = this.products.get(line.productId)!;
    return {
      base,
      ...first,
      place: lettering.place,
      cloth,
      ...(rest.length === 0 ? {} : { further: rest }),
    };
  }

  /** The threads of a placement's text by part: texts in one thread share a part. */
  #textThreads(line: LineFacts, placement: Placement): (string | null)[] {
    return recipeLines(placement.lettering, line.personalText).flatMap(({ joins, threadId }) =>
      joins ? [] : [threadId],
    );
  }

  /** The recipe's key; asked for again and again, and a digest each time would be the larger part of an import. */
  #keyOf(recipe: Recipe): string {
    const { base, text, heightMm, maxWidthMm, place, cloth, face, leastHeightMm, arcDeg, further } = recipe;
    const more = further ? JSON.stringify(further) : "";
    const facts = `${base?.id} ${heightMm} ${maxWidthMm} ${place} ${cloth} ${face} ${leastHeightMm} ${arcDeg} ${text}${more}`;
    const known = this.#keys.get(facts) ?? makingKeyOf(recipe);
    this.#keys.set(facts, known);
    return known;
  }

  #designOf(
    line: LineFacts,
    placement: Placement,
    hand: SetByHand,
  ): { version: DesignVersionRow | null; name: string; trouble?: string } {
    if (hand.design !== undefined) {
      if (hand.design === null)
        return { version: null, name: "", trouble: `No design is chosen for ${placement.name}.` };
      return { version: hand.design, name: hand.design.file_name || "The design" };
    }
    const pictureId = this.#pictureId(line, placement);
    const picture = pictureId === null ? null : (this.#pictures.get(pictureId) ?? null);
    const recipe = this.#recipe(line, placement);
    if (recipe) {
      const made = this.#personal.get(this.#keyOf(recipe));
      invariant(made !== undefined, "designs are prepared before jobs are asked for");
      if ("trouble" in made) return { version: null, name: "", trouble: made.trouble };
      return { version: made.version, name: `“${line.personalText}”` };
    }
    if (!takesPicture(placement))
      return {
        version: null,
        name: "",
        trouble: `${placement.name} is lettering alone, and the order gives no text.`,
      };
    if (pictureId === null)
      return {
        version: null,
        name: "",
        trouble: `${placement.name} needs a design: neither the order nor the product names one.`,
      };
    if (!picture?.version)
      return {
        version: null,
        name: "",
        trouble: `The design ${picture?.name ?? pictureId} has no version yet.`,
      };
    return { version: picture.version, name: picture.name };
  }

  /**
   * A part's thread: the line's, else what a person chose on the personal design, else the picture's own as they
   * stand now. The text's: the line's, else a person's choice, else the placement's.
   */
  #threadsOf(line: LineFacts, placement: Placement, version: DesignVersionRow): (string | null)[] {
    const { threadIds: own, making } = this.#readOf(version);
    const isRecipe = making?.pictureParts !== undefined && making.threadsAtMaking !== undefined;
    const pictureParts = isRecipe ? making.pictureParts! : own.length;
    const pictureId = this.#pictureId(line, placement);
    const base = pictureId === null ? null : this.#pictures.get(pictureId)?.version;
    const baseThreads = base && isRecipe ? this.#readOf(base).threadIds : own;
    const given =
      this.#lineTargets(line).includes(placement) || pictureParts === 0 ? (line.threadIds ?? []) : [];
    const textThreads = this.#textThreads(line, placement);
    return own.map((thread, part) => {
      const chosen = isRecipe && thread !== making.threadsAtMaking![part] ? thread : null;
      if (part < pictureParts) return given[part] ?? chosen ?? baseThreads[part] ?? null;
      const alone = pictureParts === 0 ? (given[part] ?? null) : null;
      return line.textThreadId ?? alone ?? chosen ?? textThreads[part - pictureParts] ?? thread;
    });
  }

  #troubleWith(
    version: DesignVersionRow,
    name: string,
    threadIds: readonly (string | null)[],
    hoopId: string | null,
  ): string | null {
    const { findings, report } = this.#readOf(version);
    const stop = findings.find((finding) => finding.level === "stop");
    if (stop) return `${name}: ${stop.message}`;
    const { parts, extentsMm } = report;
    const bare = parts.flatMap((part, index) =>
      part.stitches > 0 && (threadIds[index] ?? null) === null ? [index + 1] : [],
    );
    if (bare.length > 0) return `${name}: part ${listed(bare)} of ${parts.length} has no thread.`;
    const strange = threadIds.find((id) => id !== null && !this.threads.has(id));
    if (strange) return `${name}: there is no thread ${strange}.`;
    const hoop = hoopId === null ? null : this.hoops.get(hoopId);
    if (hoop) {
      const width = extentsMm.right - extentsMm.left;
      const height = extentsMm.top - extentsMm.bottom;
      if (width > hoop.fieldWidthMm || height > hoop.fieldHeightMm)
        return `${name} is ${round(width)} × ${round(height)} mm; the hoop ${hoop.name} has a field of ${round(hoop.fieldWidthMm)} × ${round(hoop.fieldHeightMm)} mm.`;
    }
    return null;
  }

  /** What the line asks for that no placement of the product can carry: it must be seen, not dropped. */
  /** A design a person has chosen, whose text is known, against what the order asks for. */
  #spellingTrouble(line: LineFacts, placement: Placement, version: DesignVersionRow): string | null {
    if (!placement.lettering) return null;
    const ordered = sewnTexts(placement.lettering, line.personalText).map(({ text }) => text);
    return differenceOfTexts(textsOfVersion(version), ordered)?.message ?? null;
  }

  #orphanTrouble(line: LineFacts): string | null {
    const placements = this.#placementsOf(line);
    const { name } = this.products.get(line.productId)!;
    if (line.personalText !== "" && !placements.some((placement) => placement.lettering))
      return `The order asks for the text “${line.personalText}”, but ${name} has no place for lettering.`;
    const unsewn = unsewnTexts(placements.flatMap(({ lettering }) => lettering ?? []), line.personalText); // prettier-ignore
    if (unsewn.length > 0)
      return `The order gives more texts than ${name} sews: nothing sews ${unsewn.map((text) => `“${text}”`).join(", ")}.`;
    if (line.designId !== null && !placements.some(takesPicture))
      return `The order names a design, but ${name} has no place for a picture.`;
    const most = Math.max(0, ...this.#lineTargets(line).map((placement) => this.#partsOf(line, placement)));
    if (line.threadIds && most > 0 && line.threadIds.length > most)
      return `The order names ${line.threadIds.length} threads; the design has ${most} ${most === 1 ? "part" : "parts"}.`;
    return null;
  }
  #partsOf(line: LineFacts, placement: Placement): number {
    const pictureId = this.#pictureId(line, placement);
    const version = pictureId === null ? null : this.#pictures.get(pictureId)?.version;
    return version ? this.#readOf(version).threadIds.length : 0;
  }

  /** What a version's columns hold, read once: an import asks for the same few designs thousands of times. */
  #readOf(version: DesignVersionRow): VersionRead {
    const known = this.#read.get(version);
    if (known) return known;
    const read: VersionRead = {
      threadIds: JSON.parse(version.thread_ids) as (string | null)[],
      making: version.making === null ? null : (JSON.parse(version.making) as Partial<Making>),
      findings: JSON.parse(version.findings) as shapes.FindingShape[],
      report: JSON.parse(version.report) as VersionReport,
    };
    this.#read.set(version, read);
    return read;
  }

  async #loadPictures(db: Reader, ids: readonly string[]): Promise<void> {
    const missing = ids.filter((id) => !this.#pictures.has(id));
    const designs = await inPortions(missing, (portion) =>
      db
        .selectFrom("designs")
        .select(["id", "name", "latest_version_id"])
        .where("id", "in", portion)
        .execute(),
    );
    await this.loadVersions(
      db,
      designs.flatMap((row) => row.latest_version_id ?? []),
    );
    for (const id of missing) this.#pictures.set(id, null);
    for (const row of designs)
      this.#pictures.set(row.id, {
        name: row.name,
        version: this.#versions.get(row.latest_version_id ?? "") ?? null,
      });
  }
}

/** Whether a placement is sewn with a picture at all. */
const takesPicture = (placement: Placement): boolean => placement.lettering?.place !== "alone";
const round = (mm: number) => Math.round(mm * 10) / 10;
const listed = (numbers: readonly number[]) =>
  numbers.length > 4 ? `${numbers.slice(0, 4).join(", ")} …` : numbers.join(", ");
