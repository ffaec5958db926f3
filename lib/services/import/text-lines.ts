import { isUtf8 } from "node:buffer";
import { shown } from "@/lib/import/quote";
import type { LineBlock } from "@/lib/import/split-records";
import { lineEndOf } from "@/lib/import/table/line-end";
import type { Encoding } from "@/lib/import/table/table-format";
import type { Piece } from "@/lib/services/import/file-bytes";
import { FileFlaw } from "@/lib/services/import/file-flaw";

/** Lines of a text, and how far its file was read; `open` when the last of them has no line end, so the text ends there. */
export type TextBlock = LineBlock & { readonly bytes: number; readonly open: boolean };

/** Bytes of one line; a longer one is refused with what stands at its beginning, so that memory stays flat. */
export const LINE_LIMIT = 4 * 1024 * 1024;

const KEPT_OF_LONG_LINE = 2_000;
/** Bytes that are looked at for the kind of line end. */
const BEGINNING = 64 * 1024;

/**
 * The lines of a text in blocks, from pieces of UTF-8; a byte order mark is left out.
 *
 * A line with bytes that are no text in its `encoding`, or longer than {@link LINE_LIMIT}, comes as a flawed line; the
 * others stay good. An endless line is read past without being kept.
 *
 * @throws FileFlaw when the first line is not text
 */
export async function* textLines(pieces: AsyncIterable<Piece>, encoding: Encoding): AsyncGenerator<TextBlock> {
  const cutter = new LineCutter(encoding);
  let bytes = 0;
  for await (const piece of pieces) {
    bytes = piece.bytes;
    for (const block of cutter.push(piece.data)) yield { ...block, bytes, open: false };
  }
  for (const block of cutter.push(null)) yield { ...block, bytes, open: false };
  const last = cutter.end();
  if (last) yield { ...last, bytes, open: true };
}

class LineCutter {
  private rest: Buffer = Buffer.alloc(0);
  private firstLine = 1;
  private lineEnd: number | null = null;
  private longLine: Buffer | null = null;
  private ended = false;

  constructor(private readonly encoding: Encoding) {}

  /** Blocks of whole lines that a piece completes; null when no more follows, for a text shorter than its beginning. */
  *push(piece: Buffer | null): Generator<LineBlock> {
    let data = piece === null ? this.rest : this.joined(piece);
    if (this.lineEnd === null) {
      if (piece !== null && !tellsLineEnd(data)) {
        this.rest = data;
        return;
      }
      data = withoutMark(data);
      this.lineEnd = lineEndOf(data);
      refuseBinary(data, this.lineEnd, this.encoding);
    } else if (piece === null) return;
    else data = this.behindEnd(data);
    if (this.longLine !== null) {
      const end = data.indexOf(this.lineEnd);
      if (end === -1) {
        this.rest = Buffer.alloc(0);
        return;
      }
      yield longLineBlock(this.longLine, this.firstLine);
      this.firstLine += 1;
      this.longLine = null;
      this.ended = true;
      data = this.behindEnd(data.subarray(end + 1));
    }
    const end = data.lastIndexOf(this.lineEnd);
    this.rest = data.subarray(end + 1);
    if (end !== -1) {
      this.ended = true;
      const block = this.block(data.subarray(0, end), this.lineEnd);
      yield block;
      this.firstLine += block.lines.length;
    }
    if (this.rest.length > LINE_LIMIT) {
      this.longLine = Buffer.from(this.rest.subarray(0, KEPT_OF_LONG_LINE));
      this.rest = Buffer.alloc(0);
    }
  }

  /** The line without a line end in which the text ends; null when it ends with a line end. */
  end(): LineBlock | null {
    if (this.longLine !== null) return longLineBlock(this.longLine, this.firstLine);
    const rest = this.behindEnd(this.rest);
    return rest.length === 0 ? null : this.block(rest, this.lineEnd ?? LINE_FEED);
  }

  /** Without the line feed that belongs to the carriage return at the end of the block before. */
  private behindEnd(data: Buffer): Buffer {
    const feed = this.ended && this.lineEnd === CARRIAGE_RETURN && data[0] === LINE_FEED;
    if (data.length > 0) this.ended = false;
    return feed ? data.subarray(1) : data;
  }

  private joined(piece: Buffer): Buffer {
    return this.rest.length === 0 ? piece : Buffer.concat([this.rest, piece]);
  }

  private block(data: Buffer, lineEnd: number): LineBlock {
    const { firstLine } = this;
    const text = data.toString("utf8");
    // Beside carriage returns a line feed ends a line too, or belongs to the end of one; in quotes it is a break anyway.
    const lines = text.split(lineEnd === CARRIAGE_RETURN ? /\r\n|\r|\n/ : "\n");
    if (isUtf8(data)) return { firstLine, lines };
    const flawed = new Map<number, string>();
    let from = 0;
    for (let index = 0; index < lines.length; index += 1) {
      const end = endOfLine(data, from, lineEnd);
      if (!isUtf8(data.subarray(from, end))) flawed.set(index, notText[this.encoding]);
      from = end + (data[end] === CARRIAGE_RETURN && data[end + 1] === LINE_FEED ? 2 : 1);
    }
    return { firstLine, lines, flawed };
  }
}

const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;

function tellsLineEnd(data: Buffer): boolean {
  if (data.length < BEGINNING) return false;
  return data.length > LINE_LIMIT || data.includes(LINE_FEED) || data.includes(CARRIAGE_RETURN);
}

function endOfLine(data: Buffer, from: number, lineEnd: number): number {
  const found = data.indexOf(lineEnd, from);
  const end = found === -1 ? data.length : found;
  const feed = lineEnd === LINE_FEED ? -1 : data.subarray(from, end).indexOf(LINE_FEED);
  return feed === -1 ? end : from + feed;
}

const notText: Record<Encoding, string> = {
  "utf-8": "holds bytes that are not UTF-8 text; save the file as UTF-8, or mend this cell",
  "utf-16le": "holds bytes that are not UTF-16 text; save the file as UTF-8, or mend this cell",
  "utf-16be": "holds bytes that are not UTF-16 text; save the file as UTF-8, or mend this cell",
  "windows-1252": "holds bytes that are not Windows-1252 text; save the file as UTF-8, or mend this cell",
};

function withoutMark(data: Buffer): Buffer {
  return data[0] === 0xef && data[1] === 0xbb && data[2] === 0xbf ? data.subarray(3) : data;
}

function refuseBinary(data: Buffer, lineEnd: number, encoding: Encoding): void {
  const end = data.indexOf(lineEnd);
  const first = data.subarray(0, end === -1 ? Math.min(data.length, BEGINNING) : end);
  const whole = end === -1 && data.length > first.length ? first.subarray(0, 0) : first;
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what tells a binary file
  const control = /[\u0000-\u0008\u000e-\u001f]/.test(first.toString("latin1"));
  if (!control && isUtf8(whole)) return;
  const name = encoding === "windows-1252" ? "Windows-1252" : encoding.slice(0, 6).replace(/-$/, "").toUpperCase();
  throw new FileFlaw(`is not text in ${name} (its first line holds other bytes); save it as CSV in UTF-8`, {
    line: 1,
    value: shown(first.toString("latin1").slice(0, 60)),
  });
}

function longLineBlock(start: Buffer, firstLine: number): LineBlock {
  const reason = `is longer than ${LINE_LIMIT / 1024 / 1024} MB; a line end or a quote may be missing: mend it`;
  return { firstLine, lines: [start.toString("utf8")], flawed: new Map([[0, reason]]) };
}
