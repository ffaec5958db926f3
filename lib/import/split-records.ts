import { parse } from "csv-parse/sync";
import { shown } from "@/lib/import/quote";

/** Lines of a file in their order; `firstLine` counts from 1; `flawed` names lines whose bytes could not be read whole. */
export type LineBlock = {
  readonly firstLine: number;
  readonly lines: readonly string[];
  readonly flawed?: ReadonlyMap<number, string>;
};

/** One record of a file with the line it begins on: its cells, or why it has none and what stood there. */
export type SplitRecord =
  | { readonly line: number; readonly cells: readonly string[]; readonly flaw: null }
  | { readonly line: number; readonly cells: readonly string[]; readonly flaw: string };

/** Lines a quoted cell may run over; past it the quote that opens it is taken for a stray one. */
export const QUOTED_LINES_LIMIT = 100;
/** Characters a record with quotes may have. */
export const RECORD_LIMIT = 4_000_000;
/** Cells a record may have; a longer one is refused with what stands at its beginning. */
export const CELLS_LIMIT = 1_000;

const KEPT_OF_REFUSED = 2_000;
const TOO_MANY_CELLS = `has more than ${CELLS_LIMIT} cells; a line end may be missing, or the separator is another: mend it`;

type PendingLine = { readonly line: number; readonly text: string };

/**
 * Cuts lines into records: `push` blocks of lines, then `end`; both give the records that are complete.
 *
 * A line without a quote is its cells between separators. A record with quotes is read by csv-parse. A stray or unclosed
 * quote costs its own line and no other: that line comes back with a flaw, and reading goes on with the next. A record
 * whose every cell is blank is no record.
 */
export class RecordSplitter {
  private open: PendingLine[] = [];
  private openLength = 0;
  private run: PendingLine[] = [];
  private readonly separator: string;

  constructor({ separator = "," }: { separator?: string } = {}) {
    this.separator = separator;
  }

  /** The records completed by these lines, in order; blank lines give none. */
  push({ firstLine, lines, flawed }: LineBlock): SplitRecord[] {
    const records: SplitRecord[] = [];
    for (const [index, line] of lines.entries()) {
      const flaw = flawed?.get(index);
      const text = line.endsWith("\r") ? line.slice(0, -1) : line;
      if (flaw !== undefined) {
        this.giveUpOpen(records);
        this.flushRun(records);
        records.push({ line: firstLine + index, cells: [text], flaw });
      } else this.take({ line: firstLine + index, text }, records);
    }
    this.flushRun(records);
    return records;
  }

  /** The records still open when the file ends. */
  end(): SplitRecord[] {
    const records: SplitRecord[] = [];
    this.giveUpOpen(records);
    this.flushRun(records);
    return records;
  }

  private take(next: PendingLine, records: SplitRecord[]): void {
    if (this.open.length > 0) {
      this.open.push(next);
      this.openLength += next.text.length;
      if (quotesIn(next.text) % 2 === 1) this.closeOpen(records);
      else if (this.open.length > QUOTED_LINES_LIMIT || this.openLength > RECORD_LIMIT) this.giveUpFirst(records);
      return;
    }
    if (!next.text.includes('"')) {
      if (this.run.length > 0) this.flushRun(records);
      this.add(next.line, next.text.split(this.separator, CELLS_LIMIT + 1), records);
      return;
    }
    if (quotesIn(next.text) % 2 === 0) {
      this.run.push(next);
      return;
    }
    this.flushRun(records);
    this.open = [next];
    this.openLength = next.text.length;
  }

  private closeOpen(records: SplitRecord[]): void {
    const parsed = this.parsed(this.open);
    const [only] = parsed ?? [];
    if (parsed?.length !== 1 || !only) {
      this.giveUpFirst(records);
      return;
    }
    this.add(this.open[0]?.line ?? 0, only, records);
    this.open = [];
  }

  /** Refuses the line that opened a quote and reads the lines after it anew. */
  private giveUpFirst(records: SplitRecord[]): void {
    const [first, ...rest] = this.open;
    this.open = [];
    if (first) records.push({ line: first.line, cells: [first.text], flaw: strayQuote(first.text) });
    for (const line of rest) this.take(line, records);
  }

  private giveUpOpen(records: SplitRecord[]): void {
    while (this.open.length > 0) this.giveUpFirst(records);
  }

  /** Lines with quotes that are each closed are parsed together, since a call of the parser costs more than a line. */
  private flushRun(records: SplitRecord[]): void {
    if (this.run.length === 0) return;
    const run = this.run;
    this.run = [];
    const together = this.parsed(run);
    for (const [index, line] of run.entries()) {
      const cells =
        together?.length === run.length ? together[index] : run.length > 1 ? this.parsed([line])?.[0] : undefined;
      if (cells) this.add(line.line, cells, records);
      else records.push({ line: line.line, cells: [line.text], flaw: strayQuote(line.text) });
    }
  }

  private add(line: number, cells: readonly string[], records: SplitRecord[]): void {
    if (cells.length > CELLS_LIMIT) {
      const kept = cells.slice(0, CELLS_LIMIT).join(this.separator).slice(0, KEPT_OF_REFUSED);
      records.push({ line, cells: [kept], flaw: TOO_MANY_CELLS });
    } else if (!isBlank(cells)) records.push({ line, cells, flaw: null });
  }

  private parsed(lines: readonly PendingLine[]): string[][] | null {
    try {
      return parse(lines.map((line) => line.text).join("\n"), {
        delimiter: this.separator,
        record_delimiter: "\n",
        relax_column_count: true,
        max_record_size: RECORD_LIMIT + 1,
      });
    } catch {
      return null;
    }
  }
}

function quotesIn(text: string): number {
  let count = 0;
  for (let at = text.indexOf('"'); at !== -1; at = text.indexOf('"', at + 1)) count += 1;
  return count;
}

function isBlank(cells: readonly string[]): boolean {
  const first = cells[0] ?? "";
  return (first === "" || first.trim() === "") && cells.every((cell) => cell.trim() === "");
}

function strayQuote(text: string): string {
  const around = shown(text.slice(Math.max(0, text.indexOf('"') - 20)));
  return `has a quote (") that is not closed or stands inside a cell, at ${around}; double it, or quote the whole cell`;
}
