import type { Store } from "@/db/client";
import {
  addConflicts,
  addRejects,
  addUnmappedWords,
  addWaiting,
  type CountChange,
  changeCounts,
} from "@/db/queries/import-writes";
import { type ReadingWriter, readingWriter } from "@/db/reading-writer";
import type { RowWriter } from "@/db/row-writer";
import type { WaitingRow } from "@/db/waiting-codec";
import { crossCheck, momentFor } from "@/lib/import/cross-check";
import { cellValues, differences, identityOf } from "@/lib/import/differences";
import type { JoinedRow } from "@/lib/import/mapping/mapped-row";
import { type RowReader, rowReader } from "@/lib/import/read-row";
import { columnOfFlaw, keptCells, truncatedRow } from "@/lib/import/refused-row";
import type { SplitRecord } from "@/lib/import/split-records";
import type { FoldChoice } from "@/lib/kernel/time";
import type { CanonicalRow } from "@/lib/records/canonical-row";
import type { Refusal } from "@/lib/records/outcome";
import type { ReadingRows } from "@/lib/records/reading-rows";
import type { FileReading, MadeRow } from "@/lib/services/import/file-reading";
import type { LiveDirectory } from "@/lib/services/import/live-directory";

/** What an intake needs to know of its file and of the running import. */
export type IntakeSetting = {
  readonly unit: Store;
  readonly file: { readonly key: number; readonly importId: number; readonly replaces: boolean };
  readonly reading: FileReading;
  readonly fold: FoldChoice;
  readonly directory: LiveDirectory;
  readonly rows: RowWriter;
  readonly now: number;
};

/** Rows that wait, gathered until they are packed: enough that a portion is worth its packing. */
const WAITING_PORTION = 60_000;
const KEPT_PORTION = 2_000;
/** Different unmapped words of a file that are counted each by itself; the rest is counted together. */
const KEPT_WORDS = 5_000;
const FURTHER_WORDS = "(further words)";

/** Takes in the rows of one file: stores, counts, and keeps what was refused, waits or differs. */
export class FileIntake {
  readonly counts = {
    rows: 0,
    accepted: 0,
    replaced: 0,
    duplicates: 0,
    conflicts: 0,
    refused: 0,
    waiting: 0,
    leftOut: 0,
  };
  private readonly read: RowReader;
  private readonly readings: ReadingWriter;
  private readonly unmapped = new Map<string, { column: string; word: string; count: number }>();
  private rejects: Parameters<typeof addRejects>[1][number][] = [];
  private conflicts: Parameters<typeof addConflicts>[1][number][] = [];
  private waiting = new Map<string, { waitsFor: "site" | "detector"; waitsForId: string; rows: WaitingRow[] }>();
  private waitingRows = 0;
  private countsWords = true;

  constructor(private readonly setting: IntakeSetting) {
    const { unit, file, reading, directory, fold } = setting;
    this.read = rowReader(reading.layout, (detectorId) => momentFor(detectorId, { directory, fold }));
    this.readings = readingWriter(unit, file);
  }

  /** Takes in one row; `open` when the file ends in its line. */
  take(record: SplitRecord, { open = false }: { open?: boolean } = {}): void {
    const { columns } = this.setting.reading;
    this.counts.rows += 1;
    if (record.flaw !== null) {
      this.refuse(record, { ...columnOfFlaw(record.cells, columns), reason: record.flaw });
    } else if (open && record.cells.length < columns.length) {
      this.refuse(record, truncatedRow(record.cells, columns));
    } else this.takeMade(this.setting.reading.take(record));
  }

  /** Takes in good readings that were read from the bytes of the file. */
  takeRows(rows: ReadingRows): void {
    this.counts.rows += rows.length;
    for (let from = 0; from < rows.length; ) {
      const { added, full } = this.readings.addRows(rows, from);
      if (full) this.flushReadings();
      from += added;
    }
  }

  /** Rows that waited leave the counts as waiting, to be counted anew when they are taken in. */
  retry(rows: readonly WaitingRow[]): void {
    this.counts.rows -= rows.length;
    this.counts.waiting -= rows.length;
    // Their words were counted when they came.
    this.countsWords = false;
    for (const row of rows) this.take({ ...row, flaw: null });
  }

  /** Writes what was kept so far when it is much; called between blocks, so that memory stays flat. */
  async relieve(): Promise<void> {
    if (this.rejects.length >= KEPT_PORTION || this.conflicts.length >= KEPT_PORTION) await this.writeKept();
    if (this.waitingRows >= WAITING_PORTION) await this.writeWaiting();
  }

  /** Writes all that is left, and the counts. */
  async finish(): Promise<CountChange> {
    this.takeMade(this.setting.reading.end());
    this.flushReadings({ last: true });
    await this.writeKept();
    await this.writeWaiting();
    await addUnmappedWords(this.setting.unit, { fileKey: this.setting.file.key, words: [...this.unmapped.values()] });
    await changeCounts(this.setting.unit, this.setting.file.key, this.counts);
    return this.counts;
  }

  private takeMade(made: readonly MadeRow[]): void {
    for (const one of made) {
      for (const { column, word } of one.unmapped) this.countWord(column, word);
      if (one.outcome === "row") this.takeRow(one);
      else if (one.outcome === "refused") this.refuse(one.record, one.refusal);
      else if (one.outcome === "left_out")
        this.keep(one.record, { column: null, value: null, reason: one.reason, leftOut: true });
    }
  }

  private takeRow({ cells, records }: JoinedRow): void {
    const { directory, now, reading } = this.setting;
    const outcome = this.read(cells);
    const refusal = outcome.ok ? crossCheck(outcome.value, { directory, now }) : outcome.refusal;
    if (refusal) for (const record of records) this.refuse(record, reading.asSent(refusal, record));
    else if (outcome.ok) this.store(outcome.value, records);
  }

  private store(row: CanonicalRow, records: readonly SplitRecord[]): void {
    const line = records[0]?.line ?? 0;
    if (row.kind === "readings") {
      const detector = this.setting.directory.detectors.get(row.record.detectorId);
      if (detector && this.readings.add(detector.key, row.record, line)) this.flushReadings();
      return;
    }
    const result = this.setting.rows.claim(row, this.setting.file);
    if (result.outcome === "accepted") this.counts.accepted += records.length;
    else if (result.outcome === "duplicate") this.counts.duplicates += records.length;
    else {
      const replaced = result.outcome === "replaced";
      this.countConflict(replaced, records.length);
      const differing = differences(result.stored.record, row.record);
      this.conflicts.push({ fileKey: this.setting.file.key, line, replaced, identity: identityOf(row), ...differing });
    }
  }

  private flushReadings({ last = false } = {}): void {
    const tally = this.readings.flush({ last });
    this.counts.accepted += tally.accepted;
    this.counts.duplicates += tally.duplicates;
    for (const { line, replaced, detectorId, readAt, stored, sent } of tally.conflicts) {
      this.countConflict(replaced, 1);
      this.conflicts.push({
        fileKey: this.setting.file.key,
        line,
        replaced,
        identity: identityOf({ kind: "readings", record: { detectorId, readAt, ...valuesOf(sent) } }),
        ...differences(cellValues(valuesOf(stored)), cellValues(valuesOf(sent))),
      });
    }
  }

  private countConflict(replaced: boolean, rows: number): void {
    if (replaced) {
      this.counts.accepted += rows;
      this.counts.replaced += rows;
    } else this.counts.conflicts += rows;
  }

  private countWord(column: string, word: string): void {
    if (!this.countsWords) return;
    const full = this.unmapped.size >= KEPT_WORDS && !this.unmapped.has(`${column}\n${word}`);
    const kept = full ? FURTHER_WORDS : word;
    const key = `${column}\n${kept}`;
    const known = this.unmapped.get(key) ?? { column, word: kept, count: 0 };
    known.count += 1;
    this.unmapped.set(key, known);
  }

  private refuse(record: SplitRecord, refusal: Refusal): void {
    if (refusal.waitsFor !== undefined && refusal.value !== null) this.wait(record, refusal.waitsFor, refusal.value);
    else this.keep(record, { ...refusal, leftOut: false });
  }

  private keep(record: SplitRecord, { column, value, reason, leftOut }: Refusal & { leftOut: boolean }): void {
    this.counts[leftOut ? "leftOut" : "refused"] += 1;
    const cells = keptCells(record.cells);
    this.rejects.push({ fileKey: this.setting.file.key, line: record.line, column, value, reason, leftOut, cells });
  }

  private wait(record: SplitRecord, waitsFor: "site" | "detector", waitsForId: string): void {
    this.counts.waiting += 1;
    this.waitingRows += 1;
    const known = this.waiting.get(waitsForId) ?? { waitsFor, waitsForId, rows: [] };
    if (known.rows.length === 0) this.waiting.set(waitsForId, known);
    known.rows.push({ line: record.line, cells: record.cells });
  }

  private async writeKept(): Promise<void> {
    await addRejects(this.setting.unit, this.rejects);
    await addConflicts(this.setting.unit, this.conflicts);
    this.rejects = [];
    this.conflicts = [];
  }

  private async writeWaiting(): Promise<void> {
    const fileKey = this.setting.file.key;
    for (const portion of this.waiting.values()) await addWaiting(this.setting.unit, { fileKey, ...portion });
    this.waiting = new Map();
    this.waitingRows = 0;
  }
}

function valuesOf([signalPct, compensation, temperature]: readonly [number, number, number]) {
  const orNull = (value: number) => (Number.isNaN(value) ? null : value);
  return { signalPct, compensationPct: orNull(compensation), temperatureC: orNull(temperature) };
}
