import { closeSync, fstatSync, openSync, readFileSync, writeFileSync } from "node:fs";
import { basename } from "node:path";
import { type Command, InvalidArgumentError, Option } from "commander";
import { bundledFont, readOutlineFont } from "#app";
import {
  checkDesign,
  type Cloth,
  type DesignReport,
  designReport,
  letterOutlines,
  letterText,
  MACHINE_FILE_LIMIT_BYTES,
  mirrorStitches,
  type OutlineFont,
  readMachineFile,
  refuseStitches,
  restartStitches,
  rotateStitches,
  shiftStitches,
  type Stitches,
  writeMachineFile,
} from "#core/stitch";
import { designScene, svgFromScene } from "#drawing";
import { type ArtOptions, makeArt } from "./design-art";
import { WrongInput } from "./failure";

/** Where a command reads and writes; tests bring their own. */
export interface DesignOutput {
  print(text: string): void | Promise<void>;
  note(text: string): void;
  read(file: string): Uint8Array;
  write(file: string, content: Uint8Array | string): void;
}

/** Standard output (waited for: a pipe takes only so much at a time), standard error, and the disk. */
export const processOutput: DesignOutput = {
  print: (text) => new Promise((resolve) => process.stdout.write(text, () => resolve())),
  note: (text) => void process.stderr.write(text),
  read: readWithinLimit,
  write: (file, content) => writeFileSync(file, content),
};

/** A file's bytes; one over the limit of machine files is refused by its size, unread. */
function readWithinLimit(file: string): Uint8Array {
  let handle;
  try {
    handle = openSync(file, "r");
    const { size } = fstatSync(handle);
    if (size > MACHINE_FILE_LIMIT_BYTES) {
      const megabytes = Math.round(size / 1024 / 1024);
      throw refuseStitches(
        "machine-file-too-large",
        `${file} has ${megabytes} MB; a machine file may have ${MACHINE_FILE_LIMIT_BYTES / 1024 / 1024} MB at most.`,
        [{ field: file, found: `${size} bytes`, expected: `at most ${MACHINE_FILE_LIMIT_BYTES} bytes` }],
      );
    }
    return readFileSync(handle);
  } catch (trouble) {
    if (trouble instanceof Error && "code" in trouble && "syscall" in trouble) {
      throw new WrongInput(`${file} cannot be read: ${trouble.message}`);
    }
    throw trouble;
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

/** `spoolwright design inspect | letter | art | move`. */
export function addDesignCommands(program: Command, output: DesignOutput = processOutput): void {
  const design = program
    .command("design")
    .description("read, make and move designs for the embroidery machine");
  const add = (name: string): Command =>
    design.command(name).exitOverride().showHelpAfterError("Add --help for what the command takes.");

  add("inspect")
    .description("read a machine file (.dst) and report on it")
    .argument("<file>", "the machine file")
    .option("--json", "print one JSON document (spoolwright/design-report@1) and nothing else")
    .action((file: string, options: { json?: boolean }) => inspectDesign(file, options, output));

  add("letter")
    .description("make a design of a text in satin letters")
    .argument("<text>", "what to write")
    .requiredOption("--height <mm>", "height of a capital", millimetres)
    .addOption(
      new Option("--alphabet <alphabet>", "upright letters, or flowing ones written together")
        .choices(["upright", "flowing"])
        .default("upright"),
    )
    .option("--width <mm>", "make the letters as high as makes the text this wide", millimetres)
    .option(
      "--font <font>",
      "an outline font that comes with the program (Nunito, Besley, Dancing Script), or a font file",
    )
    .option("--arc <degrees>", "bend over this angle: up when positive, down when negative", numberOption, 0)
    .addOption(
      new Option("--cloth <cloth>", "what it is sewn on").choices(["woven", "knit", "pile"]).default("woven"),
    )
    .requiredOption("--out <file>", "the machine file to write (.dst)")
    .option("--svg <file>", "write a picture too")
    .option("--json", "print the report of the design as JSON")
    .action((text: string, options: LetterOptions) => letterDesign(text, options, output));

  add("art")
    .description("make a design from a drawing (SVG) or a picture of few colours (PNG, JPEG)")
    .argument("<file>", "the drawing or picture")
    .requiredOption("--width <mm>", "how wide the design is to be", millimetres)
    .addOption(
      new Option("--cloth <cloth>", "what it is sewn on").choices(["woven", "knit", "pile"]).default("woven"),
    )
    .option("--colours <number>", "at most so many colours", wholeOption, 12)
    .addOption(
      new Option("--fill <lines>", "how wide areas are filled")
        .choices(["rows", "along-the-edge"])
        .default("rows"),
    )
    .option("--angle <degrees>", "rows at this angle; each part its own when left out", numberOption)
    .option("--keep-ground", "sew the ground too, which is else taken for the cloth")
    .requiredOption("--out <file>", "the machine file to write (.dst)")
    .option("--svg <file>", "write a picture too")
    .option("--json", "print the report of the design as JSON")
    .action(async (file: string, options: ArtOptions & { json?: boolean }) => {
      const { stitches, findings } = makeArt(file, options, output);
      await tell(stitches, findings, options, output);
    });

  add("move")
    .description("turn, shift or mirror a design, or take it from a stitch on")
    .argument("<file>", "the machine file")
    .option("--rotate <degrees>", "turn about the start, counter-clockwise", numberOption)
    .option("--shift <x,y>", "shift by mm, to the right and up", pairOption)
    .addOption(new Option("--mirror <axis>", "x: left and right changed, y: up and down").choices(["x", "y"]))
    .option("--from <stitch>", "take the design from this stitch on (1 is the first)", wholeOption)
    .requiredOption("--out <file>", "the machine file to write (.dst)")
    .option("--json", "print the report of the design as JSON")
    .action((file: string, options: MoveOptions) => moveDesign(file, options, output));
}

interface LetterOptions {
  readonly height: number;
  readonly font?: string;
  readonly arc: number;
  readonly cloth: Cloth;
  readonly out: string;
  readonly svg?: string;
  readonly json?: boolean;
}

interface MoveOptions {
  readonly rotate?: number;
  readonly shift?: readonly [number, number];
  readonly mirror?: "x" | "y";
  readonly from?: number;
  readonly out: string;
  readonly json?: boolean;
}

/** Prints the report of a machine file, the reader's findings and the checks' in it. */
export async function inspectDesign(
  file: string,
  { json }: { json?: boolean },
  output: DesignOutput,
): Promise<void> {
  const { stitches, label, findings } = readMachineFile(output.read(file));
  const report = designReport(stitches, [...findings, ...checkDesign(stitches)]);
  await output.print(json ? `${JSON.stringify(report)}\n` : reportText(report, label || basename(file)));
}

/** A font of the program's own by its name, else a font file. */
function fontOf(font: string, output: DesignOutput): OutlineFont {
  const isFile = /\.(ttf|otf|ttc|woff2?)$/i.test(font) || /[\\/]/.test(font);
  return isFile ? readOutlineFont(output.read(font), basename(font)) : bundledFont(font);
}

/** Makes lettering, writes it and, when asked, its picture. */
export async function letterDesign(
  text: string,
  options: LetterOptions,
  output: DesignOutput,
): Promise<void> {
  const measures = { heightMm: options.height, arcDeg: options.arc, cloth: options.cloth };
  const { stitches, findings } =
    options.font === undefined
      ? letterText(text, measures)
      : letterOutlines(text, fontOf(options.font, output), measures);
  output.write(options.out, writeMachineFile(stitches, text));
  if (options.svg !== undefined) {
    const scene = designScene(stitches, [{ rgb: { r: 31, g: 53, b: 87 } }], { label: `Lettering: ${text}` });
    output.write(options.svg, svgFromScene(scene));
  }
  await tell(stitches, findings, options, output);
}

/** Moves a design: mirrored first, then turned, then shifted; cut to begin at a stitch before all that. */
export async function moveDesign(file: string, options: MoveOptions, output: DesignOutput): Promise<void> {
  const read = readMachineFile(output.read(file));
  let stitches = read.stitches;
  if (options.from !== undefined) stitches = restartStitches(stitches, options.from);
  if (options.mirror !== undefined) stitches = mirrorStitches(stitches, options.mirror);
  if (options.rotate !== undefined) stitches = rotateStitches(stitches, options.rotate);
  if (options.shift !== undefined) {
    stitches = shiftStitches(stitches, Math.round(options.shift[0] * 10), Math.round(options.shift[1] * 10));
  }
  output.write(options.out, writeMachineFile(stitches, read.label));
  await tell(stitches, read.findings, options, output);
}

async function tell(
  stitches: Stitches,
  findings: DesignReport["findings"],
  { out, json }: { readonly out: string; readonly json?: boolean },
  output: DesignOutput,
): Promise<void> {
  const report = designReport(stitches, [...findings, ...checkDesign(stitches)]);
  output.note(`${out} is written.\n`);
  await output.print(json ? `${JSON.stringify(report)}\n` : reportText(report, basename(out)));
}

const LEVELS = { note: "note", warning: "look at this", stop: "do not sew" } as const;

/** The report in words for a person. */
export function reportText(report: DesignReport, name: string): string {
  const { extentsMm: box } = report;
  const size = `${(box.right - box.left).toFixed(1)} × ${(box.top - box.bottom).toFixed(1)} mm`;
  const metres = (mm: number): string => `${(mm / 1000).toFixed(2)} m`;
  const lines = [
    `${name}: ${report.stitches} stitches, ${size}`,
    `  from the start: ${box.left} to ${box.right} mm across, ${box.bottom} to ${box.top} mm up`,
    `  ${report.parts.length} ${report.parts.length === 1 ? "part" : "parts"}, ${report.stops} colour stops, ${report.trims} trims, ${report.jumps} jumps`,
    ...report.parts.map(
      (part, i) => `  part ${i + 1}: ${part.stitches} stitches, ${metres(part.threadMm)} of stitch path`,
    ),
    `  stitches ${report.shortestMm} to ${report.longestMm} mm long, ${(report.shortShare * 100).toFixed(1)} % under 0.5 mm, at most ${report.densestPerMm2} on a square mm`,
    ...report.findings.map((finding) => `  ${LEVELS[finding.level]}: ${finding.message}`),
  ];
  return `${lines.join("\n")}\n`;
}

function numberOption(text: string): number {
  const value = Number(text);
  if (text.trim() === "" || !Number.isFinite(value))
    throw new InvalidArgumentError(`Found ${text}, expected a number.`);
  return value;
}

function millimetres(text: string): number {
  const value = numberOption(text.replace(/mm$/, ""));
  if (value <= 0) throw new InvalidArgumentError(`Found ${text}, expected millimetres over 0.`);
  return value;
}

function wholeOption(text: string): number {
  const value = numberOption(text);
  if (!Number.isInteger(value)) throw new InvalidArgumentError(`Found ${text}, expected a whole number.`);
  return value;
}

/** A shift further than this does not fit the machine file's header. */
const FARTHEST_SHIFT_MM = 9_999;

function pairOption(text: string): readonly [number, number] {
  const parts = text.split(",");
  if (parts.length !== 2)
    throw new InvalidArgumentError(`Found ${text}, expected X,Y in mm, such as 12.5,-3.`);
  const pair = parts.map(numberOption) as [number, number];
  if (pair.some((value) => Math.abs(value) > FARTHEST_SHIFT_MM)) {
    throw new InvalidArgumentError(`Found ${text}, expected at most ${FARTHEST_SHIFT_MM} mm each way.`);
  }
  return pair;
}
