import type { Readable } from "node:stream";

/** Archives in the ustar form of POSIX (IEEE Std 1003.1-1988), as far as backups need it: plain files, short names. */

const BLOCK = 512;

export const tarPadding = (size: number) => Buffer.alloc((BLOCK - (size % BLOCK)) % BLOCK);
export const tarEnd = () => Buffer.alloc(2 * BLOCK);

export function tarHeader(name: string, size: number, atMs: number): Buffer {
  const block = Buffer.alloc(BLOCK);
  const octal = (value: number, at: number, length: number) =>
    block.write(`${value.toString(8).padStart(length - 1, "0")}\0`, at, "latin1");
  if (Buffer.byteLength(name) > 100) throw new Error("Broken invariant: names in a backup are short");
  block.write(name, 0, "latin1");
  octal(0o600, 100, 8);
  octal(0, 108, 8);
  octal(0, 116, 8);
  octal(size, 124, 12);
  octal(Math.floor(atMs / 1000), 136, 12);
  block.write("        ", 148, "latin1");
  block.write("0", 156, "latin1");
  block.write("ustar\x0000", 257, "latin1");
  octal(sumOf(block), 148, 7);
  block.write(" ", 155, "latin1");
  return block;
}

const sumOf = (block: Buffer) => {
  let sum = 0;
  for (let i = 0; i < BLOCK; i++) sum += 148 <= i && i < 156 ? 32 : block[i]!;
  return sum;
};

export interface TarEntry {
  readonly name: string;
  readonly size: number;
  /** The entry's bytes, to be read to their end before the next entry is asked for. */
  readonly chunks: AsyncGenerator<Buffer>;
}

/** Reads an archive as it streams; throws a plain Error where it is cut short or is none. */
export async function* tarEntries(source: Readable): AsyncGenerator<TarEntry> {
  const bytes = reader(source);
  for (;;) {
    const header = await bytes.exactly(BLOCK);
    if (header.every((byte) => byte === 0)) return bytes.drain();
    const octal = (at: number, length: number) =>
      Number.parseInt(header.toString("latin1", at, at + length).replace(/[\0 ]+$/, ""), 8);
    if (header.toString("latin1", 257, 262) !== "ustar" || octal(148, 8) !== sumOf(header))
      throw new Error("not an archive");
    const size = octal(124, 12);
    const kind = header.toString("latin1", 156, 157);
    if (!Number.isSafeInteger(size) || size < 0 || (kind !== "0" && kind !== "\0"))
      throw new Error("an entry that is no plain file");
    const name = header.toString("latin1", 0, 100).replace(/\0.*$/s, "");
    yield { name, size, chunks: bytes.upTo(size) };
    await bytes.exactly((BLOCK - (size % BLOCK)) % BLOCK);
  }
}

function reader(source: Readable) {
  const chunks = source[Symbol.asyncIterator]() as AsyncIterator<Buffer>;
  let held: Buffer = Buffer.alloc(0);
  const more = async () => {
    const next = await chunks.next();
    if (next.done) throw new Error("cut short");
    return next.value;
  };
  return {
    async exactly(size: number): Promise<Buffer> {
      while (held.length < size) held = Buffer.concat([held, await more()]);
      const taken = held.subarray(0, size);
      held = held.subarray(size);
      return taken;
    },
    /** Reads on to the end, where a packed stream's own checksum stands. */
    async drain(): Promise<void> {
      while (!(await chunks.next()).done) held = Buffer.alloc(0);
    },
    async *upTo(size: number): AsyncGenerator<Buffer> {
      for (let left = size; left > 0;) {
        if (held.length === 0) held = await more();
        const taken = held.subarray(0, left);
        held = held.subarray(taken.length);
        left -= taken.length;
        yield taken;
      }
    },
  };
}
