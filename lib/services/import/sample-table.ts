import type { SplitRecord } from "@/lib/import/split-records";
import type { Table } from "@/lib/import/table/table";

/** The first rows of a table, and whether these are all it has. */
export type Sample = { readonly records: readonly SplitRecord[]; readonly whole: boolean };

// Enough that evidence is seldom lacking, few enough that each change of a mapping is answered within about a second.
const SAMPLE_ROWS = 20_000;
const SAMPLE_CELLS = 400_000;

/** The rows of a table up to 20,000 or 400,000 cells, whichever comes first; throws FileFlaw where it cannot be read. */
export async function sampleTable(table: Table): Promise<Sample> {
  const limit = Math.min(SAMPLE_ROWS, Math.floor(SAMPLE_CELLS / Math.max(1, table.columns.length)));
  const records: SplitRecord[] = [];
  for await (const block of table.rows()) {
    for (const record of block.records) {
      if (records.length === limit) return { records, whole: false };
      records.push(record);
    }
  }
  return { records, whole: true };
}
