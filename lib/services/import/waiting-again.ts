import type { Store } from "@/db/client";
import type { DisplacedRows } from "@/db/displaced-rows";
import { addWaitingEntry, moveToWaiting } from "@/db/queries/displaced-counts";
import { addWaiting } from "@/db/queries/import-writes";
import { canonicalCells } from "@/lib/import/canonical-cells";

/** Rows of one kind of one import that wait again, and under which entry of it they are listed. */
export type WaitingAgain = { readonly importId: number; readonly kind: DisplacedRows["kind"]; readonly rows: number };

type Entry = WaitingAgain & { readonly key: number };

/** Keeps rows waiting that lost their site or detector while an import is taken back, one entry an import and kind. */
export class WaitingAgainKeeper {
  private readonly entries = new Map<string, Entry>();

  constructor(
    private readonly unit: Store,
    private readonly takenBackId: number,
  ) {}

  /** Keeps rows as waiting; the cells are written anew from the records, since those they came in are not kept. */
  async keep({ importId, kind, waitsFor, waitsForId, rows }: DisplacedRows): Promise<void> {
    const name = `${importId} ${kind}`;
    const entry = this.entries.get(name) ?? (await this.newEntry(importId, kind));
    // The entry reads as a file whose first line is the header.
    const waiting = rows.map((row, index) => ({ line: entry.rows + index + 2, cells: canonicalCells(row) }));
    await addWaiting(this.unit, { fileKey: entry.key, waitsFor, waitsForId, rows: waiting });
    this.entries.set(name, { ...entry, rows: entry.rows + rows.length });
  }

  /** Counts the rows kept as waiting and no longer as what they were; all that wait again, by import. */
  async finish(): Promise<WaitingAgain[]> {
    const all = [...this.entries.values()].sort((one, other) => one.importId - other.importId);
    for (const { importId, kind, key: entryKey, rows: count } of all) {
      await moveToWaiting(this.unit, { importId, kind, entryKey, count });
    }
    return all.map(({ importId, kind, rows }) => ({ importId, kind, rows }));
  }

  private async newEntry(importId: number, kind: DisplacedRows["kind"]): Promise<Entry> {
    const note = `rows that were in and wait again, because import ${this.takenBackId} was taken back, which brought what they name`;
    const key = await addWaitingEntry(this.unit, { importId, kind, name: `${kind}, waiting again`, note });
    return { importId, kind, key, rows: 0 };
  }
}
