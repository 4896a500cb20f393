import { createHash } from "node:crypto";
import type { shapes } from "#contract";
import { seededChance } from "#core/base";
import { writeMachineFile, type Stitches } from "#core/stitch";
import { paperAnswers } from "../../src/app/paper";
import { testProgram, type TestProgram, TEST_NOW_MS } from "../support/program";

/**
 * A day on the floor for tests of paper: a studio in memory with hoops, threads, stock, products, orders and pieces,
 * and a plan made by hand (machines in turn, each thread put on the needle used longest ago). All of it is invented.
 */
export interface FloorDay {
  readonly program: TestProgram;
  readonly view: shapes.PlanView;
  readonly paper: ReturnType<typeof paperAnswers>;
  readonly designs: ReadonlyMap<string, Stitches>;
}

export interface FloorDayAsked {
  readonly runs: number;
  readonly names?: readonly string[];
  /** Colours of each design; cycled. */
  readonly colours?: readonly number[];
  readonly needles?: readonly number[];
}

// prettier-ignore
const threadColours: readonly (readonly [string, string, string])[] = [
  ["I02", "ivory", "#f2e9d8"], ["N11", "harbour navy", "#1f2d55"], ["G05", "gorse gold", "#c9982b"], ["R03", "rust", "#a9502b"], ["R01", "signal red", "#b8312f"],
  ["K01", "tar black", "#22242a"], ["P08", "plum", "#6d3b66"], ["S07", "sky", "#86b4d8"], ["O03", "olive", "#74803d"], ["S21", "dune sand", "#d6b98d"], ["W01", "white", "#ffffff"],
  ["T14", "teal", "#1f7a78"], ["M02", "mint", "#a8d5b5"], ["B04", "thrift pink with a rather long name", "#d98aa2"],
];

/** Rosettes of satin bars, one ring a colour. */
export function rosette(colours: number, sizeMm: number, turn = 0): Stitches {
  const kind: number[] = [];
  const x: number[] = [];
  const y: number[] = [];
  const put = (what: number, atX: number, atY: number) => {
    const [fromX, fromY] = [x.at(-1) ?? 0, y.at(-1) ?? 0];
    // No move is longer than a record can make: 12.1 mm.
    const steps = Math.max(
      1,
      Math.ceil(Math.max(Math.abs(atX * 10 - fromX), Math.abs(atY * 10 - fromY)) / 120),
    );
    for (let step = 1; step <= steps; step++) {
      kind.push(what);
      x.push(Math.round(fromX + ((atX * 10 - fromX) * step) / steps));
      y.push(Math.round(fromY + ((atY * 10 - fromY) * step) / steps));
    }
  };
  const ring = sizeMm / 2 / (colours + 0.5);
  for (let part = 0; part < colours; part++) {
    if (part > 0) put(2, x.at(-1)! / 10, y.at(-1)! / 10);
    const inner = ring * (part + 0.35);
    const outer = ring * (part + 1.25);
    const steps = Math.ceil((2 * Math.PI * outer) / 0.8) * 2;
    for (let step = 0; step <= steps; step++) {
      const angle = turn + (2 * Math.PI * step) / steps;
      const wave = 1 + 0.12 * Math.cos(angle * (5 + part));
      const radius = (step % 2 === 0 ? inner : outer) * wave;
      const [toX, toY] = [radius * Math.cos(angle), radius * Math.sin(angle) * 0.7];
      if (step === 0) for (let jump = 1; jump <= 3; jump++) put(1, (toX * jump) / 3, (toY * jump) / 3);
      put(0, toX, toY);
    }
  }
  return { kind: Uint8Array.from(kind), x: Int32Array.from(x), y: Int32Array.from(y) };
}

const usualNames = [
  "Łukasz",
  "Olivia",
  "Ľubomír",
  "Ångström",
  "Saoirse & Fionn",
  "Zoë",
  "Tōnui",
  "Maximiliana-Theodora Featherstonehaugh",
  "Bo",
  "Γιώργος",
];

export async function floorDay(asked: FloorDayAsked): Promise<FloorDay> {
  const { runs, names = usualNames, colours = [3, 6, 2, 7, 4], needles = [6, 10, 10] } = asked;
  const program = await testProgram({ setUp: true });
  const create = async (noun: string, body: object): Promise<string> =>
    ((await program.ask(`${noun}.create` as "hoops.create", { body })) as { id: string }).id;
  const chance = seededChance(7);

  const hoopIds = [
    await create("hoops", {
      name: "side magnetic",
      kind: "magnetic",
      fieldWidthMm: 130,
      fieldHeightMm: 130,
      count: 6,
      note: "",
    }),
    await create("hoops", {
      name: "large screw",
      kind: "screw",
      fieldWidthMm: 260,
      fieldHeightMm: 200,
      count: 2,
      note: "",
    }),
  ];
  const threadIds: string[] = [];
  for (const [code, name, rgb] of threadColours) {
    threadIds.push(
      await create("threads", {
        code,
        name,
        rgb,
        fibre: "polyester",
        densityTex: 27,
        metresPerCone: 1000,
        cones: 2,
        metresLeft: 1500,
        reorderMetres: 200,
        note: "",
      }),
    );
  }
  const stock = async (
    kind: string,
    code: string,
    name: string,
    onHand: number,
    unit = "piece",
    colour = "",
    size = "",
  ) => create("stock", { kind, code, name, colour, size, unit, onHand, note: "" });
  const blanks = [
    await stock("blank", "ROBE-S-M", "Swim robe", 40, "piece", "slate", "M"),
    await stock("blank", "TOWEL-SG", "Beach towel", 3, "piece", "sea green", "90 × 170 cm"),
    await stock("blank", "APRON", "Apron", 20, "piece", "natural", "one size"),
  ];
  const cutAway = await stock("backing", "CUT-60", "cut-away 60 g", 12, "metre");
  const tearAway = await stock("backing", "TEAR-40", "tear-away 40 g", 400, "sheet");
  const film = await stock("topping", "FILM", "soluble film", 25, "metre");
  const placement = (
    id: string,
    name: string,
    where: string,
    hoopId: string,
    backingId: string,
    toppingId: string | null,
  ) => ({
    id,
    name,
    where,
    hoopId,
    backingId,
    toppingId,
    needleSizeNm: 75,
    needlePoint: "sharp",
    designId: null,
    lettering: null,
    machineIds: null,
    hoopS: null,
    unhoopS: null,
    finishS: null,
  });
  const products = [
    [
      "ROBE",
      "Swim robe",
      "pile",
      blanks[0],
      placement(
        "p1",
        "left chest",
        "200 mm down from the shoulder seam, 110 mm off the centre line",
        hoopIds[0]!,
        cutAway,
        film,
      ),
      "Worn by children: local rules on cords and flammability apply.",
    ],
    [
      "TOWEL",
      "Beach towel, sea green",
      "pile",
      blanks[1],
      placement(
        "p2",
        "corner",
        "centre 90 mm from both edges, foot to the corner",
        hoopIds[0]!,
        tearAway,
        film,
      ),
      "",
    ],
    [
      "APRON",
      "Apron",
      "woven",
      blanks[2],
      placement(
        "p3",
        "bib",
        "centred, top of the design 80 mm below the neck hem",
        hoopIds[1]!,
        tearAway,
        null,
      ),
      "",
    ],
  ] as const;
  const productIds: string[] = [];
  for (const [code, name, cloth, blankId, place, caution] of products) {
    productIds.push(
      await create("products", {
        code,
        name,
        kind: "embroidered",
        cloth,
        blankId,
        placements: [place],
        sewS: 0,
        priceCents: 4500,
        caution,
        note: "",
      }),
    );
  }

  const designs = new Map<string, Stitches>();
  const machines = needles.map((count, index) => ({
    id: `mc_${index + 1}`,
    name: ["Heron", "Gannet", "Tern"][index] ?? `Machine ${index + 1}`,
    needles: count,
    threaded: Array.from({ length: count }, (_, needle) =>
      needle < count - 2 ? threadIds[(needle + index * 3) % threadIds.length]! : null,
    ),
    fixed: [1],
    down: [] as [number, number][],
    stitchesPerMinute: 700 + 50 * index,
  }));
  const onNeedle = machines.map((machine) => [...machine.threaded]);
  const usedAt = machines.map((machine) => Array.from({ length: machine.needles }, () => 0));
  const freeAt = machines.map(() => 300);
  const planRuns: shapes.PlanDocument["runs"] = [];
  const tasks: shapes.PlanDocument["tasks"] = [];
  const jobs: shapes.PlannedJob[] = [];

  for (let index = 0; index < runs; index++) {
    const which = index % machines.length;
    const machine = machines[which]!;
    const product = index % products.length;
    const count = colours[index % colours.length]!;
    const stitches = rosette(count, 60 + 12 * (index % 5), index / 3);
    const versionId = `dv_${index}`;
    designs.set(versionId, stitches);
    const parts = Array.from({ length: count }, () => ({
      threadId: threadIds[chance.below(threadIds.length)]!,
      stitches: Math.floor(stitches.kind.length / count),
    }));
    const text = names[index % names.length]!;
    const jobId = `jb_${index}`;
    const place = products[product]![4];
    // Needles: what is on stays; else the needle used longest ago; a stop inside when the needles run out.
    const chosen: number[] = [];
    const stretches: { from: number; to: number; start: number; end: number }[] = [];
    let at = freeAt[which]!;
    tasks.push({
      hand: "hand_1",
      do: "hoop",
      job: jobId,
      start: Math.max(0, at - 120),
      end: Math.max(45, at - 75),
    });
    let from = 0;
    let loaded = false;
    while (from < count) {
      const needed = new Set<number>();
      let to = from;
      for (; to < count; to++) {
        const colour = parts[to]!.threadId;
        let needle = onNeedle[which]!.findIndex((on, n) => on === colour && (chosen.length === to || n >= 0));
        if (needle < 0) {
          const free = onNeedle[which]!.map((_, n) => n).filter(
            (n) => !needed.has(n) && !machine.fixed.includes(n + 1),
          );
          if (free.length === 0) break;
          needle = free.reduce((best, n) => (usedAt[which]![n]! < usedAt[which]![best]! ? n : best));
          tasks.push({
            hand: "hand_1",
            do: "thread",
            job: jobId,
            machine: machine.id,
            needle: needle + 1,
            colour,
            start: at,
            end: at + 60,
          });
          onNeedle[which]![needle] = colour;
          at += 60;
        }
        needed.add(needle);
        usedAt[which]![needle] = index * 100 + to + 1;
        chosen.push(needle + 1);
      }
      if (!loaded) {
        tasks.push({ hand: "hand_2", do: "load", job: jobId, machine: machine.id, start: at, end: at + 85 });
        at += 85;
        loaded = true;
      }
      const seconds =
        Math.ceil(
          (60 * parts.slice(from, to).reduce((sum, part) => sum + part.stitches, 0)) /
            machine.stitchesPerMinute,
        ) +
        8 * (to - from - 1);
      stretches.push({ from, to: to - 1, start: at, end: at + seconds });
      at += seconds;
      from = to;
    }
    tasks.push({ hand: "hand_2", do: "unload", job: jobId, machine: machine.id, start: at, end: at + 30 });
    freeAt[which] = at + 30;
    planRuns.push({
      job: jobId,
      machine: machine.id,
      hoop: `${place.hoopId}/${1 + (index % 2)}`,
      needles: chosen,
      stretches,
    });
    jobs.push({
      jobId,
      pieceId: `pc_${index}`,
      pieceCode: `NQ-${1040 + index}/1`,
      pieceVersion: 1,
      state: "ready",
      urgency: "normal",
      pinnedMachineId: null,
      title: text,
      personalText: text,
      product: products[product]![1],
      placement: place.name,
      where: place.where,
      hoopName: "hoop",
      backing: product === 0 ? "cut-away 60 g" : "tear-away 40 g",
      topping: product < 2 ? "soluble film" : null,
      needleAdvice: "75/11 sharp",
      orderId: `or_${index}`,
      orderReference: `NQ-${1040 + index}`,
      customer: [
        "Gráinne Ní Mhaoláin",
        "J. Smith",
        "The Very Long Named Swimming and Life-Saving Club of the Northern Harbour",
      ][index % 3]!,
      promiseDate: "2026-11-27",
      shipBy: index % 9 === 4 ? "2026-11-24" : "2026-11-26",
      designVersionId: versionId,
      designName: `Rosette of ${count}`,
      parts,
      caution: products[product]![5],
      why:
        index % 2 === 0
          ? `Shares ${Math.min(count, 3)} of ${count} threads with the piece before.`
          : "Due first of what is left; only Gannet and Tern take the large hoop for it today, and Tern is busy with a longer run.",
      whyLate: "",
    } satisfies shapes.PlannedJob);
  }

  await program.context.store.write({ who: "test", what: "Made a day" }, async (writing) => {
    const now = TEST_NOW_MS;
    const kept = { version: 1, archived: 0, created_at_ms: now, updated_at_ms: now };
    for (let index = 0; index < runs; index++) {
      const job = jobs[index]!;
      const stitches = designs.get(`dv_${index}`)!;
      const hash = await program.context.store.files.put(writeMachineFile(stitches, "ORIGINAL"));
      await writing.insert("designs", {
        ...kept,
        id: `ds_${index}`,
        name: job.designName,
        note: "",
        search: "",
        kind: "picture",
        latest_version_id: null,
      });
      await writing.insert("design_versions", {
        id: `dv_${index}`,
        design_id: `ds_${index}`,
        number: 1,
        source: "made",
        file_name: "rosette.dst",
        made_at_ms: now,
        file_hash: hash,
        making: null,
        making_key: null,
        stitches: stitches.kind.length,
        jumps: 0,
        stops: job.parts.length - 1,
        trims: 0,
        report: JSON.stringify({
          parts: job.parts.map((part) => ({ stitches: part.stitches, threadMm: 1 })),
          extentsMm: { left: -20, right: 20, bottom: -10, top: 10 },
          shortestMm: 1,
          longestMm: 5,
          shortShare: 0,
          densestPerMm2: 3,
        }),
        findings: "[]",
        thread_ids: JSON.stringify(job.parts.map((part) => part.threadId)),
      });
      await writing.insert("orders", {
        ...kept,
        id: job.orderId,
        reference: job.orderReference,
        customer: job.customer,
        channel: "web",
        placed_on: "2026-11-20",
        promise_date: job.promiseDate,
        ship_by: job.shipBy,
        note: "",
        search: "",
        open_pieces: 1,
      });
      await writing.insert("order_lines", {
        id: `ol_${index}`,
        order_id: job.orderId,
        position: 1,
        product_id: productIds[index % 3]!,
        quantity: 1,
        personal_text: job.personalText,
        design_id: null,
        thread_ids: null,
        text_thread_id: null,
        price_cents: null,
        note: "",
        line_reference: null,
      });
      await writing.insert("pieces", {
        id: job.pieceId,
        version: 1,
        code: job.pieceCode,
        order_id: job.orderId,
        line_id: `ol_${index}`,
        product_id: productIds[index % 3]!,
        personal_text: job.personalText,
        state: "ready",
        waiting_for: null,
        urgency: "normal",
        held_why: "",
        pinned_machine_id: null,
        remake_of: null,
        ship_by: job.shipBy,
        search: "",
        state_changed_at_ms: now,
        created_at_ms: now,
        updated_at_ms: now,
      });
      await writing.insert("jobs", {
        id: job.jobId,
        version: 1,
        piece_id: job.pieceId,
        placement_id: products[index % 3]![4].id,
        placement_name: job.placement,
        position: 1,
        design_version_id: `dv_${index}`,
        trouble: null,
        thread_ids: JSON.stringify(job.parts.map((part) => part.threadId)),
        hoop_id: products[index % 3]![4].hoopId,
        machine_ids: null,
        hoop_s: null,
        unhoop_s: null,
        finish_s: null,
        stitches: stitches.kind.length,
        sewn: 0,
        by_hand: "[]",
        updated_at_ms: now,
      });
    }
  });

  const view: shapes.PlanView = {
    planId: "pl_1",
    madeAtMs: TEST_NOW_MS,
    startsAtMs: TEST_NOW_MS,
    timeZone: "Europe/Dublin",
    stale: false,
    staleWhy: "",
    stalePieces: 0,
    moved: null,
    plan: {
      format: "spoolwright/plan@1",
      runs: planRuns,
      tasks,
      unplanned: [],
      totals: { cost: 0, threadings: 0, midStops: 0, lateJobs: 0, lateMinutes: 0, finishAt: 0 },
      bounds: { cost: 0, threadings: 0, finishAt: 0 },
      solver: { seconds: 0, seed: 1, evaluations: 0 },
    },
    machines,
    hands: [
      { id: "hand_1", name: "Ness", skills: [], shifts: [] },
      { id: "hand_2", name: "Ivor", skills: [], shifts: [] },
    ],
    open: [],
    hoops: [
      { id: hoopIds[0]!, name: "side magnetic", count: 6 },
      { id: hoopIds[1]!, name: "large screw", count: 2 },
    ],
    threads: threadColours.map(([code, name, rgb], index) => ({ id: threadIds[index]!, code, name, rgb })),
    jobs,
    chores: [],
    leftOut: [],
    headline: { pieces: runs, late: [], tightest: null, careful: null },
  } as shapes.PlanView;
  return { program, view, designs, paper: paperAnswers(program.context, async () => view) };
}

/** The same design file's fingerprint, for comparing bytes in words. */
export const fingerprint = (bytes: Uint8Array): string => createHash("sha256").update(bytes).digest("hex");
