import { isUtf8 } from "node:buffer";
import { closeSync, openSync, readSync } from "node:fs";
import { setImmediate } from "node:timers/promises";
import { CLOCK_SLACK_MS, INSTALLATION_SLACK_MS } from "@/lib/import/cross-check";
import type { Layout } from "@/lib/import/header";
import type { PlainDetector } from "@/lib/import/plain-ids";
import { type PlainBytesReader, plainBytesReader } from "@/lib/import/plain-reading-bytes";
import { RecordSplitter, type SplitRecord } from "@/lib/import/split-records";
import { lineEndOf } from "@/lib/import/table/line-end";
import { emptyRows, type ReadingRows } from "@/lib/records/reading-rows";
import type { LiveDirectory } from "@/lib/services/import/live-directory";

/** Who takes the rows of a file in, in their order: good ones many at once, all others as records. */
export type PlainTaker = {
  readonly intake: {
    takeRows(rows: ReadingRows): void;
    take(record: SplitRecord, at: { open: boolean }): void;
  };
  /** Called after each block, with the bytes read so far. */
  endBlock(bytes: number): Promise<void>;
};

/** A file whose rows are to be read from its bytes, and what they are judged by. */
export type PlainFile = {
  readonly path: string;
  /** Number of the header's line. */
  readonly headerLine: number;
  readonly layout: Layout;
  readonly directory: LiveDirectory;
  readonly now: number;
};

const BLOCK_SIZE = 512 * 1024;
/** Bytes that tell the kind of line end, and in which the lines up to the header must stand. */
const BEGINNING = 64 * 1024;
const ROWS_AT_ONCE = 8_192;
const LINE_FEED = 0x0a;
const QUOTE = 0x22;

/**
 * Takes in the rows of a canonical readings file, UTF-8 with commas, from its bytes without making texts of them.
 *
 * A line that is not plain is taken as a record in its place. Where quotes, other bytes than UTF-8 or a huge line begin,
 * it stops: records of that line and all later ones are for the ordinary way, so that each rule stands in one place.
 *
 * @returns number of the first line that was not taken; Infinity when the whole file was, 1 when nothing
 */
export async function takePlainReadings(file: PlainFile, taker: PlainTaker): Promise<number> {
  const reader = plainBytesReader(file.layout, (detectorId) => plainDetector(file, detectorId));
  if (reader === null) return 1;
  const handle = openSync(file.path, "r");
  try {
    return await new PlainPass(reader, taker).run(handle, file);
  } finally {
    closeSync(handle);
  }
}

function plainDetector({ directory, now }: PlainFile, detectorId: string): PlainDetector | null {
  const found = directory.detectors.get(detectorId);
  if (!found) return null;
  const span = { fromAt: found.installedAt - INSTALLATION_SLACK_MS, untilAt: now + CLOCK_SLACK_MS };
  return { key: found.key, timeZone: found.timeZone, ...span };
}

/** One pass over the bytes of one file. */
class PlainPass {
  private readonly rows = emptyRows(ROWS_AT_ONCE);
  private readonly splitter = new RecordSplitter();
  private line = 1;

  constructor(
    private readonly reader: PlainBytesReader,
    private readonly taker: PlainTaker,
  ) {}

  async run(handle: number, { headerLine }: PlainFile): Promise<number> {
    const buffer = Buffer.alloc(BLOCK_SIZE);
    let bytes = 0;
    let kept = 0;
    for (;;) {
      // A disk answers sooner than a thread is woken; the rest of the process has its turn between blocks.
      const bytesRead = readSync(handle, buffer, kept, BLOCK_SIZE - kept, null);
      await setImmediate();
      const first = bytes === 0;
      bytes += bytesRead;
      const filled = kept + bytesRead;
      const block = buffer.subarray(0, filled);
      const start = first ? this.behindHeader(block, headerLine) : 0;
      if (start === -1) return 1;
      if (bytesRead === 0) return this.takeLast(block) ? Infinity : this.line;
      const end = block.lastIndexOf(LINE_FEED) + 1;
      if (end === 0 && filled === BLOCK_SIZE) return this.line;
      const whole = end <= start || this.takeLines(block, start, end);
      await this.taker.endBlock(bytes);
      if (!whole) return this.line;
      const from = Math.max(start, end);
      buffer.copyWithin(0, from, filled);
      kept = filled - from;
    }
  }

  /** The place behind the header; -1 when it is not plain, so that its lines cannot be counted. */
  private behindHeader(block: Buffer, headerLine: number): number {
    const start = block[0] === 0xef && block[1] === 0xbb && block[2] === 0xbf ? 3 : 0;
    const beginning = block.subarray(start, start + BEGINNING);
    if (lineEndOf(beginning) !== LINE_FEED) return -1;
    let at = 0;
    while (this.line <= headerLine) {
      const end = beginning.indexOf(LINE_FEED, at);
      if (end === -1 || beginning.subarray(at, end).includes(QUOTE)) return -1;
      at = end + 1;
      this.line += 1;
    }
    return start + at;
  }

  /** Takes whole lines; false when it stopped at one that is for the ordinary way. */
  private takeLines(block: Buffer, start: number, end: number): boolean {
    let at = start;
    while (at < end) {
      const before = this.rows.length;
      at = this.reader.read(block, { at, end, line: this.line }, this.rows);
      this.line += this.rows.length - before;
      const full = this.rows.length === ROWS_AT_ONCE;
      if (full || at < end) this.deliver();
      if (full || at >= end) continue;
      const lineEnd = block.indexOf(LINE_FEED, at);
      if (!this.takeLine(block.subarray(at, lineEnd), false)) return false;
      at = lineEnd + 1;
    }
    this.deliver();
    return true;
  }

  private takeLast(line: Buffer): boolean {
    return line.length === 0 || this.takeLine(line, true);
  }

  private takeLine(line: Buffer, open: boolean): boolean {
    if (line.includes(QUOTE) || !isUtf8(line)) return false;
    const records = this.splitter.push({ firstLine: this.line, lines: [line.toString("utf8")] });
    for (const record of records) this.taker.intake.take(record, { open });
    this.line += 1;
    return true;
  }

  private deliver(): void {
    if (this.rows.length > 0) this.taker.intake.takeRows(this.rows);
    this.rows.length = 0;
  }
}
