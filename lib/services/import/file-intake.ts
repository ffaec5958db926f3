import type { Store } from "@/db/client";
import { addConflicts, addRejects, addWaiting, type CountChange, changeCounts } from "@/db/queries/import-writes";
import { type ReadingWriter, readingWriter } from "@/db/reading-writer";
import type { RowWriter } from "@/db/row-writer";
import type { WaitingRow } from "@/db/waiting-codec";
import { crossCheck, momentFor } from "@/lib/import/cross-check";
import { cellValues, differences, identityOf } from "@/lib/import/differences";
import type { Layout } from "@/lib/import/header";
import { shown } from "@/lib/import/quote";
import { type RowReader, rowReader } from "@/lib/import/read-row";
import { columnOfFlaw, keptCells, truncatedRow } from "@/lib/import/refused-row";
import type { SplitRecord } from "@/lib/import/split-records";
import type { FoldChoice } from "@/lib/kernel/time";
import type { CanonicalRow } from "@/lib/records/canonical-row";
import type { Refusal } from "@/lib/records/outcome";
import type { LiveDirectory } from "@/lib/services/import/live-directory";

/** What an intake needs to know of its file and of the running import. */
export type IntakeSetting = {
  readonly unit: Store;
  readonly file: { readonly key: number; readonly importId: number; readonly replaces: boolean };
  readonly layout: Layout;
  readonly fold: FoldChoice;
  readonly directory: LiveDirectory;
  readonly rows: RowWriter;
  readonly now: number;
};

/** Rows that wait, gathered until they are packed: enough that a portion is worth its packing. */
const WAITING_PORTION = 60_000;
const KEPT_PORTION = 2_000;

/** Takes in the rows of one file: stores, counts, and keeps what was refused, waits or differs. */
export class FileIntake {
  readonly counts = { rows: 0, accepted: 0, replaced: 0, duplicates: 0, conflicts: 0, refused: 0, waiting: 0 };
  private readonly read: RowReader;
  private readonly readings: ReadingWriter;
  private rejects: Parameters<typeof addRejects>[1][number][] = [];
  private conflicts: Parameters<typeof addConflicts>[1][number][] = [];
  private waiting = new Map<string, { waitsFor: "site" | "detector"; waitsForId: string; rows: WaitingRow[] }>();
  private waitingRows = 0;

  constructor(private readonly setting: IntakeSetting) {
    const { unit, file, layout, directory, fold } = setting;
    this.read = rowReader(layout, (detectorId) => momentFor(detectorId, { directory, fold }));
    this.readings = readingWriter(unit, file);
  }

  /** Takes in one row; `open` when the file ends in its line. */
  take(record: SplitRecord, { open = false }: { open?: boolean } = {}): void {
    const { layout, directory, now } = this.setting;
    this.counts.rows += 1;
    if (record.flaw !== null) {
      this.refuse(record, { ...columnOfFlaw(record.cells, layout.header), reason: record.flaw });
      return;
    }
    if (open && record.cells.length < layout.header.length) {
      this.refuse(record, truncatedRow(record.cells, layout.header));
      return;
    }
    const outcome = this.read(record.cells);
    const refusal = outcome.ok ? crossCheck(outcome.value, { directory, now }) : outcome.refusal;
    if (refusal) this.refuse(record, { ...refusal, value: this.sentValue(record, refusal) });
    else if (outcome.ok) this.store(outcome.value, record.line);
  }

  /** Rows that waited leave the counts as waiting, to be counted anew when they are taken in. */
  retry(rows: readonly WaitingRow[]): void {
    this.counts.rows -= rows.length;
    this.counts.waiting -= rows.length;
    for (const row of rows) this.take({ ...row, flaw: null });
  }

  /** Writes what was kept so far when it is much; called between blocks, so that memory stays flat. */
  async relieve(): Promise<void> {
    if (this.rejects.length >= KEPT_PORTION || this.conflicts.length >= KEPT_PORTION) await this.writeKept();
    if (this.waitingRows >= WAITING_PORTION) await this.writeWaiting();
  }

  /** Writes all that is left, and the counts. */
  async finish(): Promise<CountChange> {
    this.flushReadings();
    await this.writeKept();
    await this.writeWaiting();
    await changeCounts(this.setting.unit, this.setting.file.key, this.counts);
    return this.counts;
  }

  /** The cell as it was sent: a check of the finished record knows only what was made of it. */
  private sentValue({ cells }: SplitRecord, { column, value, waitsFor }: Refusal): string | null {
    if (column === null || value === null || waitsFor !== undefined) return value;
    const place = this.setting.layout.places.get(column);
    return cells.length === this.setting.layout.header.length && place !== undefined
      ? shown((cells[place] ?? "").trim())
      : value;
  }

  private store(row: CanonicalRow, line: number): void {
    if (row.kind === "readings") {
      const detector = this.setting.directory.detectors.get(row.record.detectorId);
      if (detector && this.readings.add(detector.key, row.record, line)) this.flushReadings();
      return;
    }
    const result = this.setting.rows.claim(row, this.setting.file);
    if (result.outcome === "accepted") this.counts.accepted += 1;
    else if (result.outcome === "duplicate") this.counts.duplicates += 1;
    else {
      const replaced = result.outcome === "replaced";
      this.countConflict(replaced);
      const differing = differences(result.stored.record, row.record);
      this.conflicts.push({ fileKey: this.setting.file.key, line, replaced, identity: identityOf(row), ...differing });
    }
  }

  private flushReadings(): void {
    const tally = this.readings.flush();
    this.counts.accepted += tally.accepted;
    this.counts.duplicates += tally.duplicates;
    for (const { line, replaced, detectorId, readAt, stored, sent } of tally.conflicts) {
      this.countConflict(replaced);
      this.conflicts.push({
        fileKey: this.setting.file.key,
        line,
        replaced,
        identity: identityOf({ kind: "readings", record: { detectorId, readAt, ...valuesOf(sent) } }),
        ...differences(cellValues(valuesOf(stored)), cellValues(valuesOf(sent))),
      });
    }
  }

  private countConflict(replaced: boolean): void {
    if (replaced) {
      this.counts.accepted += 1;
      this.counts.replaced += 1;
    } else this.counts.conflicts += 1;
  }

  private refuse(record: SplitRecord, refusal: Refusal): void {
    if (refusal.waitsFor !== undefined && refusal.value !== null) {
      this.wait(record, refusal.waitsFor, refusal.value);
      return;
    }
    this.counts.refused += 1;
    this.rejects.push({
      fileKey: this.setting.file.key,
      line: record.line,
      column: refusal.column,
      value: refusal.value,
      reason: refusal.reason,
      cells: keptCells(record.cells),
    });
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
