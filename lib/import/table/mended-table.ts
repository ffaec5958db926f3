import { areRejectColumns, rejectColumns, unguarded } from "@/lib/import/reject-cells";
import type { Table } from "@/lib/import/table/table";

/**
 * The table that a file of rows which did not go in was made from, so that it is read by the same header or mapping: its
 * own five columns are left out, and apostrophes against formulas are taken off. Any other table stays as it is.
 *
 * Only a file that begins with those five columns is changed: in every other an apostrophe is the sender's own.
 */
export function mendedTable(table: Table): Table {
  if (!areRejectColumns(table.columns)) return table;
  const own = (cells: readonly string[]) => cells.slice(rejectColumns.length).map(unguarded);
  return {
    ...table,
    columns: table.columns.slice(rejectColumns.length),
    rewritten: true,
    async *rows() {
      for await (const block of table.rows()) {
        const records = block.records.map((record) =>
          record.flaw === null ? { ...record, cells: own(record.cells) } : record,
        );
        yield { ...block, records };
      }
    },
  };
}
