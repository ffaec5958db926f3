import { isUtf8 } from "node:buffer";
import { createReadStream, statSync } from "node:fs";
import { shown } from "@/lib/import/quote";
import type { LineBlock } from "@/lib/import/split-records";
import { FileFlaw } from "@/lib/services/import/file-flaw";

/** Lines of a file, and how far it was read; `open` when the last of them has no line end, so the file ends there. */
export type ReadBlock = LineBlock & { readonly bytes: number; readonly open: boolean };

const READ_SIZE = 256 * 1024;
/** Bytes of one line; a longer one is refused with what stands at its beginning, so that memory stays flat. */
const LINE_LIMIT = 4 * 1024 * 1024;
const KEPT_OF_LONG_LINE = 2_000;

/**
 * The lines of a UTF-8 text file in blocks, read as a stream.
 *
 * A line that is not UTF-8, or longer than 4 MB, comes as a flawed line; the others stay good.
 *
 * @throws FileFlaw when the file cannot be opened or read, or its beginning is not text
 */
export async function* readLines(path: string): AsyncGenerator<ReadBlock> {
  let rest: Buffer = Buffer.alloc(0);
  let firstLine = 1;
  let bytes = 0;
  let lineEnd = 0x0a;
  let begun = false;
  let longLine: Buffer | null = null;
  for await (const chunk of chunksOf(path)) {
    bytes += chunk.length;
    let data = rest.length === 0 ? chunk : Buffer.concat([rest, chunk]);
    if (!begun) {
      if (data.length < 4) {
        rest = data;
        continue;
      }
      begun = true;
      data = withoutMark(data);
      lineEnd = lineEndOf(data);
      refuseBinary(data, lineEnd);
    }
    if (longLine !== null) {
      const end = data.indexOf(lineEnd);
      if (end === -1) {
        rest = Buffer.alloc(0);
        continue;
      }
      yield { ...longLineBlock(longLine, firstLine), bytes, open: false };
      firstLine += 1;
      longLine = null;
      data = data.subarray(end + 1);
    }
    const end = data.lastIndexOf(lineEnd);
    rest = data.subarray(end + 1);
    if (end !== -1) {
      const block = blockOf(data.subarray(0, end), { firstLine, lineEnd });
      yield { ...block, bytes, open: false };
      firstLine += block.lines.length;
    }
    if (rest.length > LINE_LIMIT) {
      longLine = Buffer.from(rest.subarray(0, KEPT_OF_LONG_LINE));
      rest = Buffer.alloc(0);
    }
  }
  if (longLine !== null) yield { ...longLineBlock(longLine, firstLine), bytes, open: true };
  else if (rest.length > 0) yield { ...blockOf(rest, { firstLine, lineEnd }), bytes, open: true };
}

/** Bytes of a file; 0 for one that cannot be opened, of which its reading says why. */
export function sizeOf(path: string): number {
  try {
    return statSync(path).size;
  } catch {
    return 0;
  }
}

async function* chunksOf(path: string): AsyncGenerator<Buffer> {
  try {
    const found = statSync(path);
    if (!found.isFile() && !found.isDirectory()) throw new FileFlaw(NOT_A_FILE);
    for await (const chunk of createReadStream(path, { highWaterMark: READ_SIZE })) {
      yield Buffer.isBuffer(chunk) ? chunk : Buffer.from(String(chunk));
    }
  } catch (thrown) {
    if (thrown instanceof FileFlaw) throw thrown;
    const code = thrown instanceof Error && "code" in thrown ? String(thrown.code) : "";
    throw new FileFlaw(reasons[code] ?? `cannot be read (${code || String(thrown)}); check the file and try again`);
  }
}

// A file is read twice, first its header and then its rows; a pipe would be empty the second time.
const NOT_A_FILE = "is not a file on disk but a pipe or device; save it as a file and name that";

const reasons: Record<string, string> = {
  ENOENT: "does not exist; check the path",
  EISDIR: "is a folder; name the files in it",
  ENOTDIR: "does not exist; check the path",
  ENAMETOOLONG: "has a longer name than this system allows; check the path",
  ELOOP: "is a link that leads back to itself; name the file it should lead to",
  EACCES: "may not be read by this user; check its rights",
};

function withoutMark(data: Buffer): Buffer {
  if (data[0] === 0xef && data[1] === 0xbb && data[2] === 0xbf) return data.subarray(3);
  if ((data[0] === 0xff && data[1] === 0xfe) || (data[0] === 0xfe && data[1] === 0xff)) {
    throw new FileFlaw("is written in UTF-16; save it as CSV in UTF-8", { line: 1 });
  }
  return data;
}

/** Files of old systems end their lines with a carriage return alone. */
function lineEndOf(data: Buffer): number {
  return data.includes(0x0a) || !data.includes(0x0d) ? 0x0a : 0x0d;
}

const magics = [
  ["PK\u0003\u0004", "is a spreadsheet or archive; save the sheet as CSV in UTF-8"],
  ["\u001f\u008b", "is compressed; unpack it first"],
  ["%PDF", "is a PDF; export the table as CSV in UTF-8"],
  ["SQLite format 3", "is a database; name the CSV files to import"],
] as const;

function refuseBinary(data: Buffer, lineEnd: number): void {
  const start = data.toString("latin1", 0, 16);
  for (const [magic, reason] of magics) if (start.startsWith(magic)) throw new FileFlaw(reason, { line: 1 });
  const end = data.indexOf(lineEnd);
  const header = data.subarray(0, end === -1 ? Math.min(data.length, READ_SIZE) : end);
  const whole = end === -1 && data.length >= READ_SIZE ? header.subarray(0, 0) : header;
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what tells a binary file
  const control = /[\u0000-\u0008\u000e-\u001f]/.test(header.toString("latin1"));
  if (control || !isUtf8(whole)) {
    const value = shown(header.toString("latin1").slice(0, 60));
    throw new FileFlaw("is not text in UTF-8 (its first line holds other bytes); save it as CSV in UTF-8", {
      line: 1,
      value,
    });
  }
}

const NOT_UTF8 = "holds bytes that are not UTF-8 text; save the file as UTF-8, or mend this cell";

function blockOf(data: Buffer, { firstLine, lineEnd }: { firstLine: number; lineEnd: number }): LineBlock {
  const separator = String.fromCharCode(lineEnd);
  const lines = data.toString("utf8").split(separator);
  if (isUtf8(data)) return { firstLine, lines };
  const flawed = new Map<number, string>();
  let from = 0;
  for (let index = 0; index < lines.length; index += 1) {
    const found = data.indexOf(lineEnd, from);
    const end = found === -1 ? data.length : found;
    if (!isUtf8(data.subarray(from, end))) flawed.set(index, NOT_UTF8);
    from = end + 1;
  }
  return { firstLine, lines, flawed };
}

function longLineBlock(start: Buffer, firstLine: number): LineBlock {
  const reason = `is longer than ${LINE_LIMIT / 1024 / 1024} MB; a line end or a quote may be missing: mend it`;
  return { firstLine, lines: [start.toString("utf8")], flawed: new Map([[0, reason]]) };
}
