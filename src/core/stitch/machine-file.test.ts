import { existsSync, readdirSync, readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Refusal } from "#core/base";
import { MACHINE_FILE_LIMIT_BYTES, readMachineFile } from "./machine-file";
import { writeMachineFile } from "./machine-writer";
import { countStitches, JUMP, STITCH, StitchRecorder, type Stitches, STOP } from "./stitches";

const ODD = new URL("../../../../shared/referee/stitches/odd/", import.meta.url).pathname;

/** A design from moves relative to one another, in tenths of mm. */
function designOf(...moves: readonly (readonly [kind: number, dx: number, dy: number])[]): Stitches {
  let x = 0;
  let y = 0;
  const at = moves.map(([, dx, dy]) => [(x += dx), (y += dy)] as const);
  return {
    kind: Uint8Array.from(moves, ([kind]) => kind),
    x: Int32Array.from(at, ([px]) => px),
    y: Int32Array.from(at, ([, py]) => py),
  };
}

const recordsOf = (bytes: Uint8Array): string =>
  [...bytes.subarray(512)].map((byte) => byte.toString(16).padStart(2, "0")).join(" ");

const refusalOf = (bytes: Uint8Array): Refusal => {
  try {
    readMachineFile(bytes);
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error("It was read");
};

const small = (): Uint8Array =>
  writeMachineFile(designOf([STITCH, 30, 0], [STITCH, 0, 30], [STOP, 0, 0], [STITCH, -30, 0]), "SMALL");

describe("the machine file's records", () => {
  // Worked by hand in MACHINE-FILE.md, our own description of the format.
  it("are the worked bytes", () => {
    expect(recordsOf(writeMachineFile(designOf([STITCH, 1, 0]), ""))).toBe("01 00 03 00 00 f3");
    expect(recordsOf(writeMachineFile(designOf([STITCH, 0, 1]), ""))).toBe("80 00 03 00 00 f3");
    expect(recordsOf(writeMachineFile(designOf([STITCH, 121, -121]), ""))).toBe("55 55 17 00 00 f3");
    expect(recordsOf(writeMachineFile(designOf([JUMP, -2, 5]), ""))).toBe("61 42 83 00 00 f3");
    expect(recordsOf(writeMachineFile(designOf([STOP, 0, 0]), ""))).toBe("00 00 c3 00 00 f3");
  });

  it("come back for every move a record can make", () => {
    for (let dx = -121; dx <= 121; dx++) {
      const design = designOf(
        [STITCH, dx, -dx],
        [JUMP, 0, dx],
        [STITCH, dx, 0],
        [STOP, 0, 0],
        [STITCH, -dx, dx],
      );
      const { stitches, findings } = readMachineFile(writeMachineFile(design, "ALL"));
      expect(stitches).toEqual(design);
      expect(findings).toEqual([]);
    }
  });

  it("split moves over 12.1 mm evenly, and keep where the needle goes in", () => {
    const { stitches } = readMachineFile(
      writeMachineFile(designOf([JUMP, 300, -150], [STITCH, 200, 0]), "LONG"),
    );
    expect([...stitches.x]).toEqual([100, 200, 300, 400, 500]);
    expect([...stitches.y]).toEqual([-50, -100, -150, -150, -150]);
    expect([...stitches.kind]).toEqual([JUMP, JUMP, JUMP, JUMP, STITCH]);
  });
});

describe("writing and reading again", () => {
  const place = fc.integer({ min: -3000, max: 3000 });
  const near = fc.integer({ min: -121, max: 121 });
  const act = fc.oneof(
    { weight: 6, arbitrary: fc.record({ do: fc.constant("stitch" as const), dx: near, dy: near }) },
    { weight: 1, arbitrary: fc.record({ do: fc.constant("jump" as const), dx: near, dy: near }) },
    { weight: 1, arbitrary: fc.record({ do: fc.constant("trim" as const), dx: place, dy: place }) },
    { weight: 1, arbitrary: fc.record({ do: fc.constant("stop" as const), dx: near, dy: near }) },
  );

  it("keeps every penetration, stop and trim", () => {
    fc.assert(
      fc.property(fc.array(act, { maxLength: 60 }), (acts) => {
        const recorder = new StitchRecorder();
        let trims = 0;
        let before = "";
        for (const { do: what, dx, dy } of acts) {
          // Jumps that follow a jump or a trim would be one group with it: what a cut is would not be the writer's to say.
          if (what === "stitch") recorder.stitch(recorder.x + dx, recorder.y + dy);
          else if (what === "stop") recorder.stop();
          else if (before === "stitch") {
            if (what === "jump") recorder.jump(recorder.x + dx, recorder.y + dy);
            else {
              recorder.trim(recorder.x + dx, recorder.y + dy);
              trims++;
            }
          } else continue;
          before = what === "stitch" && dx === 0 && dy === 0 ? before : what;
        }
        const design = recorder.done();
        const read = readMachineFile(writeMachineFile(design, "PROPERTY"));
        expect(read.stitches).toEqual(design);
        expect(read.findings).toEqual([]);
        expect(countStitches(read.stitches).trims).toBe(trims);
      }),
      { numRuns: 300, seed: 11 },
    );
  });

  it("writes a trim as exactly three jumps that cover the move, more only where it is far", () => {
    const trimTo = (x: number): number[] => {
      const recorder = new StitchRecorder();
      recorder.stitch(10, 0);
      recorder.trim(x, 0);
      return [...recorder.done().kind].slice(1);
    };
    expect(trimTo(10)).toEqual([JUMP, JUMP, JUMP]);
    expect(trimTo(373)).toEqual([JUMP, JUMP, JUMP]);
    expect(trimTo(374)).toEqual([JUMP, JUMP, JUMP, JUMP]);
  });

  it("fills in the header by the records", () => {
    const bytes = small();
    const head = String.fromCharCode(...bytes.subarray(0, 512));
    expect(head).toHaveLength(512);
    expect(
      head.startsWith(
        "LA:SMALL           \rST:      5\rCO:  1\r+X:   30\r-X:    0\r+Y:   30\r-Y:    0\rAX:+    0\rAY:+   30\r",
      ),
    ).toBe(true);
    expect(head.trimEnd().endsWith("PD:******\r\x1a")).toBe(true);
    const { label, header } = readMachineFile(
      writeMachineFile(designOf([STITCH, 1, 1]), "Żółć & Søn, a long name"),
    );
    expect(label).toMatch(/^Zo_c & S_n, a l/);
    expect(header.fields["ST"]).toBe(2);
  });

  it("refuses a design whose reach does not fit the header", () => {
    const far = new StitchRecorder();
    far.jump(120_000, 0);
    far.stitch(120_010, 0);
    expect(() => writeMachineFile(far.done(), "FAR")).toThrow(/\+X: of the machine file holds 5 digits/);
  });
});

describe("reading what is not whole", () => {
  it("takes a file that is cut short, with a finding that names the byte", () => {
    const bytes = small();
    const cut = readMachineFile(bytes.subarray(0, 512 + 7));
    expect(cut.stitches.kind).toHaveLength(2);
    expect(cut.findings.map((finding) => finding.code)).toEqual([
      "machine-file-cut-record",
      "machine-file-no-end",
      "header-record-count",
      "header-stop-count",
      "header-end-point",
    ]);
    expect(cut.findings[0]!.at).toEqual({ byte: 518 });
    expect(cut.findings[1]!.message).toContain("byte 518");
  });

  it("refuses what is not a machine file, and says what it is", () => {
    const png = new Uint8Array(900);
    png.set([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a]);
    expect(refusalOf(png).message).toContain("a PNG picture");
    const zip = new Uint8Array(900);
    zip.set([0x50, 0x4b, 3, 4]);
    expect(refusalOf(zip).message).toContain("a ZIP archive");
    const text = new TextEncoder().encode("Dear studio, please find the order below. ".repeat(30));
    expect(refusalOf(text).message).toContain("text");
    expect(refusalOf(new Uint8Array(0)).message).toContain("empty");
    expect(refusalOf(small().subarray(0, 300)).message).toContain("300 bytes");
    expect(refusalOf(small().subarray(0, 512)).message).toContain("no record");
    expect(refusalOf(new Uint8Array(2000)).code).toBe("not-a-machine-file");
    for (const bytes of [png, zip, text]) expect(refusalOf(bytes).code).toBe("not-a-machine-file");
  });

  it("refuses a file by its size before looking into it", () => {
    const refusal = refusalOf(new Uint8Array(MACHINE_FILE_LIMIT_BYTES + 1));
    expect(refusal.code).toBe("machine-file-too-large");
    expect(refusal.message).toContain("16 MB");
    const many = new Uint8Array(512 + 3 * 2_000_001).fill(3);
    many.set(small().subarray(0, 512));
    expect(refusalOf(many).code).toBe("machine-file-too-large");
  });

  it("never breaks on any bytes: it reads them or refuses them", () => {
    const header = small().subarray(0, 512);
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), fc.boolean(), (body, withHeader) => {
        const bytes = withHeader ? Uint8Array.from([...header, ...body]) : body;
        try {
          readMachineFile(bytes);
        } catch (error) {
          expect(error).toBeInstanceOf(Refusal);
        }
      }),
      { numRuns: 500, seed: 3 },
    );
  });
});

// The odd files of an independent reader, strict where ours is lenient: what it calls truncated or without end we read.
const LENIENT = new Set(["truncated_record", "no_end_record"]);
const WARNED_AS: Readonly<Record<string, string>> = {
  bytes_after_end: "machine-file-after-end",
  header_ST: "header-record-count",
  header_CO: "header-stop-count",
  "header_+X": "header-extent",
  lf_in_header: "header-line-feed",
  nul_in_header: "header-zero-bytes",
  no_1a_after_fields: "header-no-end-mark",
  field_not_number: "header-not-a-number",
  non_ascii_header: "header-not-ascii",
};

interface Expected {
  readonly error?: string;
  readonly warn?: readonly string[];
  readonly records?: number;
  readonly stitches?: number;
  readonly jumps?: number;
  readonly stops?: number;
  readonly trims?: number;
}

describe.skipIf(!existsSync(ODD))(
  "odd files of an independent writer (only where ../shared is there)",
  () => {
    const files = existsSync(ODD) ? readdirSync(ODD).filter((name) => name.endsWith(".dst")) : [];
    const expected = existsSync(ODD)
      ? (JSON.parse(readFileSync(`${ODD}expected.json`, "utf8")) as Record<string, Expected>)
      : {};
    it.each(files)("%s comes out as expected", (name) => {
      const want = expected[name]!;
      const bytes = new Uint8Array(readFileSync(ODD + name));
      if (name === "header_only.dst" || (want.error !== undefined && !LENIENT.has(want.error))) {
        expect(["not-a-machine-file", "machine-file-damaged"]).toContain(refusalOf(bytes).code);
        return;
      }
      const { stitches, findings } = readMachineFile(bytes);
      const codes = findings.map((finding) => finding.code);
      if (want.error !== undefined) expect(codes).toContain("machine-file-no-end");
      for (const warned of want.warn ?? []) expect(codes).toContain(WARNED_AS[warned]);
      if (want.warn?.length === 0) expect(codes).toEqual([]);
      const counts = countStitches(stitches);
      if (want.records !== undefined) expect(stitches.kind).toHaveLength(want.records);
      for (const key of ["stitches", "jumps", "stops", "trims"] as const) {
        if (want[key] !== undefined) expect(counts[key]).toBe(want[key]);
      }
    });
  },
);
