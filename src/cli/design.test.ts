import { Command, CommanderError } from "commander";
import { describe, expect, it } from "vitest";
import { Refusal } from "#core/base";
import { addDesignCommands, type DesignOutput } from "./design";

interface Desk extends DesignOutput {
  readonly files: Map<string, Uint8Array>;
  readonly printed: string[];
}

function desk(): Desk {
  const files = new Map<string, Uint8Array>();
  const printed: string[] = [];
  return {
    files,
    printed,
    print: (text) => void printed.push(text),
    note: () => undefined,
    read: (file) => {
      const bytes = files.get(file);
      if (bytes === undefined) throw new Error(`no ${file}`);
      return bytes;
    },
    write: (file, content) =>
      void files.set(file, typeof content === "string" ? new TextEncoder().encode(content) : content),
  };
}

async function run(output: DesignOutput, ...words: string[]): Promise<void> {
  const program = new Command("spoolwright").exitOverride().configureOutput({ writeErr: () => undefined });
  addDesignCommands(program, output);
  await program.parseAsync(words, { from: "user" });
}

describe("spoolwright design", () => {
  it("letters a name, and inspects what it wrote", async () => {
    const output = desk();
    await run(
      output,
      "design",
      "letter",
      "Maren",
      "--height",
      "14",
      "--out",
      "m.dst",
      "--svg",
      "m.svg",
      "--json",
    );
    expect(new TextDecoder().decode(output.files.get("m.svg")!)).toMatch(/^<svg [^>]*width="[\d.]+mm"/);
    await run(output, "design", "inspect", "m.dst", "--json");
    const [made, read] = output.printed.map((text) => JSON.parse(text));
    expect(read).toEqual(made);
    expect(read.format).toBe("spoolwright/design-report@1");
    expect(read.stitches).toBeGreaterThan(300);
    expect(read.extentsMm.top - read.extentsMm.bottom).toBeGreaterThan(13);
  });

  it("tells a person the same in words", async () => {
    const output = desk();
    await run(output, "design", "letter", "Ida", "--height", "20", "--out", "i.dst");
    expect(output.printed[0]).toMatch(/^i\.dst: \d+ stitches, [\d.]+ × [\d.]+ mm\n/);
  });

  it("turns by 90°, shifts, and starts again from a stitch", async () => {
    const output = desk();
    await run(output, "design", "letter", "H", "--height", "20", "--out", "h.dst", "--json");
    await run(
      output,
      "design",
      "move",
      "h.dst",
      "--rotate",
      "90",
      "--shift",
      "-5,3.5",
      "--out",
      "r.dst",
      "--json",
    );
    await run(output, "design", "move", "h.dst", "--from", "100", "--out", "f.dst", "--json");
    const [plain, turned, rest] = output.printed.map((text) => JSON.parse(text));
    expect(turned.extentsMm.left).toBeCloseTo(-plain.extentsMm.top - 5, 6);
    expect(turned.extentsMm.top).toBeCloseTo(plain.extentsMm.right + 3.5, 6);
    expect(rest.stitches).toBe(plain.stitches - 99);
  });

  it("refuses what is no machine file, and a wrong command line", async () => {
    const output = desk();
    output.files.set("x.dst", new TextEncoder().encode("just a note ".repeat(90)));
    await expect(run(output, "design", "inspect", "x.dst", "--json")).rejects.toBeInstanceOf(Refusal);
    expect(output.printed).toEqual([]);
    for (const words of [
      ["letter", "A", "--height", "tall", "--out", "a.dst"],
      ["letter", "A", "--height", "12"],
      ["move", "x.dst", "--shift", "12", "--out", "a.dst"],
      ["move", "x.dst", "--mirror", "z", "--out", "a.dst"],
    ]) {
      await expect(run(output, "design", ...words)).rejects.toBeInstanceOf(CommanderError);
    }
    await expect(run(output, "design", "letter", "A", "--height", "2", "--out", "a.dst")).rejects.toThrow(
      /5 mm is the smallest/,
    );
  });
});
