import type { SplitRecord } from "@/lib/import/split-records";
import { columnNames, sameName } from "@/lib/import/table/column-names";
import { findSheetHeader, padded } from "@/lib/import/table/sheet-header";
import { SheetReader } from "@/lib/import/table/sheet-reader";
import type { RecordBlock, Table } from "@/lib/import/table/table";
import type { TableChoices } from "@/lib/import/table/table-format";
import { type Archive, openArchive } from "@/lib/services/import/archive";
import { sizeOf } from "@/lib/services/import/file-bytes";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { parsed, partText, readWorkbook, type Sheet, type Workbook } from "@/lib/services/import/read-workbook";
import { unpackedBytes } from "@/lib/services/import/unpacked-bytes";

/** Bytes of a workbook that came packed by gzip, which is held in memory. */
export const PACKED_WORKBOOK_LIMIT = 64 * 1024 * 1024;
/** Rows from which the header is found. */
const BEGINNING = 250;

/**
 * Opens a workbook as a table: the sheet that was chosen, or the first with rows, a hidden one only when no other has any.
 *
 * The line of a row is its number in the sheet. Merged cells have their value in the first of them.
 *
 * @throws FileFlaw when it is no workbook, is damaged or protected, has no such sheet, or no rows
 */
export async function openWorkbook(
  path: string,
  { packed, choices }: { packed: boolean; choices: TableChoices },
): Promise<Table> {
  const from = packed ? await whole(path) : path;
  const archive = await openArchive(from);
  try {
    const workbook = await readWorkbook(archive);
    const { sheet, beginning } = await chooseSheet(archive, workbook, choices);
    // The sheet is read through once, so that a damaged one is refused before its first row is taken in.
    for await (const _ of archive.read(sheet.part));
    const { record, width, named, place } = findSheetHeader(beginning, { headerLine: choices.headerLine });
    refuseHeader(record, choices.headerLine);
    const header = named ? record : null;
    const above = header?.line ?? 0;
    const notes = [
      named || choices.headerLine === 0 ? "" : "no row names the columns, so they are called by their place",
    ];
    if (place > 0 && named && choices.headerLine === undefined) {
      notes.push(`the column names stand in row ${above}; what stands above is left out`);
    }
    notes.push(otherSheets(workbook, sheet, choices));
    return {
      format: { packed, form: "workbook", encoding: null, separator: null, sheet: sheet.name, headerLine: above },
      columns: columnNames(header && padded(header.cells, width), { width }),
      note: notes.filter((note) => note !== "").join("; ") || null,
      rows: () => rowsOf({ from, size: sizeOf(path) }, { sheet, workbook, above, width }),
    };
  } finally {
    archive.close();
  }
}

async function* rowsOf(
  { from, size }: { from: string | Buffer; size: number },
  { sheet, workbook, above, width }: { sheet: Sheet; workbook: Workbook; above: number; width: number },
): AsyncGenerator<RecordBlock> {
  const archive = await openArchive(from);
  const whole = Math.max(sheet.part.uncompressedSize, 1);
  let read = 0;
  try {
    for await (const { rows, characters } of sheetRows(archive, sheet, workbook)) {
      read += characters;
      const records = rows.filter((row) => row.line > above).map((row) => evenRow(row, width));
      yield { records, openLine: null, bytes: Math.min(size, Math.round((size * read) / whole)) };
    }
  } finally {
    archive.close();
  }
}

function evenRow(row: SplitRecord, width: number): SplitRecord {
  return row.flaw === null ? { ...row, cells: padded(row.cells, width) } : row;
}

async function* sheetRows(
  archive: Archive,
  { part }: Sheet,
  { setting }: Workbook,
): AsyncGenerator<{ rows: readonly SplitRecord[]; characters: number }> {
  const reader = new SheetReader(setting);
  for await (const piece of partText(archive, part)) {
    yield { rows: parsed((text) => reader.write(text), piece), characters: piece.length };
  }
  yield { rows: parsed(() => reader.end(), null), characters: 0 };
}

async function chooseSheet(
  archive: Archive,
  workbook: Workbook,
  { sheet: chosen, headerLine = 0 }: TableChoices,
): Promise<{ sheet: Sheet; beginning: readonly SplitRecord[] }> {
  const { sheets } = workbook;
  if (sheets.length === 0) throw new FileFlaw("has no sheet that can be read; save it anew and send it again");
  const visibleFirst = sheets.toSorted((a, b) => Number(a.hidden) - Number(b.hidden));
  const named = chosen === undefined ? visibleFirst : sheets.filter((one) => sameName(one.name) === sameName(chosen));
  if (named.length === 0) {
    const names = sheets.map((sheet) => `'${sheet.name}'`).join(", ") || "none";
    throw new FileFlaw(`has no sheet '${chosen ?? ""}'; its sheets are ${names}: choose one of them`);
  }
  for (const sheet of named) {
    const beginning: SplitRecord[] = [];
    for await (const { rows } of sheetRows(archive, sheet, workbook)) {
      for (const row of rows) beginning.push(row);
      if (beginning.length >= headerLine + BEGINNING) break;
    }
    if (beginning.length > 0) return { sheet, beginning: beginning.slice(0, headerLine + BEGINNING) };
  }
  throw new FileFlaw("has no rows; a sheet needs a row with the column names", { line: 1 });
}

function refuseHeader(record: SplitRecord | null, chosen: number | undefined): void {
  if (chosen === 0) return;
  if (record === null) {
    throw new FileFlaw("has no column names in the row chosen for them; choose another", { line: chosen ?? 1 });
  }
  if (record.flaw !== null) throw new FileFlaw(record.flaw, { line: record.line });
}

function otherSheets({ sheets }: Workbook, read: Sheet, { sheet: chosen }: TableChoices): string {
  const others = sheets.filter((one) => one !== read).map((one) => `'${one.name}'`);
  if (chosen !== undefined || others.length === 0) return "";
  return `read from the sheet '${read.name}'; it also has ${others.slice(0, 10).join(", ")}${others.length > 10 ? " and more" : ""}`;
}

async function whole(path: string): Promise<Buffer> {
  const pieces: Buffer[] = [];
  let length = 0;
  for await (const { data } of unpackedBytes(path, { packed: true })) {
    length += data.length;
    if (length > PACKED_WORKBOOK_LIMIT) {
      throw new FileFlaw("is a large workbook packed by gzip; send it unpacked, it is packed already");
    }
    pieces.push(data);
  }
  return Buffer.concat(pieces);
}
