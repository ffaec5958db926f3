import { mendedTable } from "@/lib/import/table/mended-table";
import type { Table } from "@/lib/import/table/table";
import type { TableChoices } from "@/lib/import/table/table-format";
import { firstBytes } from "@/lib/services/import/file-bytes";
import { openText } from "@/lib/services/import/open-text";
import { openWorkbook } from "@/lib/services/import/open-workbook";
import { refuseForeign } from "@/lib/services/import/refuse-foreign";
import { isPacked, unpackedBytes } from "@/lib/services/import/unpacked-bytes";

/** Bytes at the beginning of a file that tell what it is. */
const START = 8_192;

/**
 * Opens a file as a table, whatever it is written in: separated text, JSON lines or a workbook, packed by gzip or not.
 *
 * What the sender did not choose is found out from the file; {@link Table} says what was found. The rows are read anew
 * at each call of `rows`, as a stream, in flat memory. Each row that is not blank comes as one record, none is dropped.
 * A file of rows that did not go in comes as the table it was made from.
 *
 * @throws FileFlaw when the file cannot be read as a table at all, also while its rows are read
 */
export async function openTable(path: string, choices: TableChoices = {}): Promise<Table> {
  return mendedTable(await tableOf(path, choices));
}

async function tableOf(path: string, choices: TableChoices): Promise<Table> {
  const first = await firstBytes(path, START);
  const packed = isPacked(first);
  const start = packed ? await firstUnpacked(path) : first;
  if (isArchive(start)) return openWorkbook(path, { packed, choices });
  refuseForeign(start, { packed });
  return openText(path, { packed, start, choices });
}

/** Whether a file begins as an archive does: with a part, or with the directory of an empty one. */
function isArchive(start: Buffer): boolean {
  return ["PK\u0003\u0004", "PK\u0005\u0006"].includes(start.toString("latin1", 0, 4));
}

async function firstUnpacked(path: string): Promise<Buffer> {
  let start = Buffer.alloc(0);
  for await (const { data } of unpackedBytes(path, { packed: true })) {
    start = Buffer.concat([start, data.subarray(0, START)]);
    if (start.length >= START) break;
  }
  return start;
}
