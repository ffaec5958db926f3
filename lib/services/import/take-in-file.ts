import type { Store } from "@/db/client";
import { type CountChange, findImportFile, listAwaiting, takeWaiting } from "@/db/queries/import-writes";
import type { RowWriter } from "@/db/row-writer";
import { type Layout, layoutOf, readHeader } from "@/lib/import/header";
import { shown } from "@/lib/import/quote";
import { RecordSplitter, type SplitRecord } from "@/lib/import/split-records";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { FileIntake } from "@/lib/services/import/file-intake";
import { directReading } from "@/lib/services/import/file-reading";
import type { LiveDirectory } from "@/lib/services/import/live-directory";
import { type PlainFile, takePlainReadings } from "@/lib/services/import/plain-readings";
import { readLines } from "@/lib/services/import/read-lines";

/** A record, with whether the file ends in its line, and how far the file is read. */
type Located = { readonly records: readonly SplitRecord[]; readonly openLine: number | null; readonly bytes: number };

/** The layout of a file from its header; throws FileFlaw when it has none of the five. */
export async function probeFile({ name, path }: { name: string; path: string }): Promise<Layout> {
  for await (const { records } of recordsOf(path)) {
    const [header] = records;
    if (!header) continue;
    const value = shown(header.cells.join(","));
    if (header.flaw !== null) throw new FileFlaw(header.flaw, { line: header.line, value });
    const result = readHeader(header.cells, { name });
    if (result.ok) return result.layout;
    throw new FileFlaw(result.reason, { line: header.line, column: result.column, value });
  }
  throw new FileFlaw("is empty; a file needs a header line with the column names", { line: 1 });
}

/** Number of the line of the header, 0 when there is none. */
export async function headerLineOf(path: string): Promise<number> {
  for await (const { records } of recordsOf(path)) if (records[0]) return records[0].line;
  return 0;
}

/** Takes in the rows of a file whose layout is known; `onRows` hears of each block. */
export async function takeInFile(
  intake: FileIntake,
  {
    path,
    plain = null,
    onRows,
  }: { path: string; plain?: PlainFile | null; onRows: (rows: number, bytes: number) => void },
): Promise<CountChange> {
  const endBlock = async (bytes: number) => {
    await intake.relieve();
    onRows(intake.counts.rows, bytes);
  };
  // What can be read from the bytes is; the rest of the file begins at this line.
  const restFrom = plain ? await takePlainReadings(plain, { intake, endBlock }) : 1;
  if (restFrom === Infinity) return intake.finish();
  let headerSeen = false;
  for await (const { records, openLine, bytes } of recordsOf(path)) {
    for (const record of records) {
      if (headerSeen && record.line >= restFrom) intake.take(record, { open: record.line === openLine });
      headerSeen = true;
    }
    await endBlock(bytes);
  }
  return intake.finish();
}

/** Rows of one file, of an earlier import or this one, that had waited and are taken in. */
export type TakenIn = { readonly fileKey: number; readonly name: string; readonly counts: CountChange };

/** Takes in the rows that waited for sites or detectors which are known now, each credited to its own file. */
export async function takeInWaiting(
  unit: Store,
  {
    waitsFor,
    ids,
    ...shared
  }: {
    waitsFor: "site" | "detector";
    ids: ReadonlySet<string>;
    directory: LiveDirectory;
    rows: RowWriter;
    now: number;
  },
): Promise<TakenIn[]> {
  const taken: TakenIn[] = [];
  const portions = ids.size === 0 ? [] : await listAwaiting(unit, { waitsFor, ids });
  for (const fileKey of new Set(portions.map((portion) => portion.fileKey))) {
    const found = await findImportFile(unit, fileKey);
    if (!found?.file.kind) continue;
    const { file, replaces } = found;
    const intake = new FileIntake({
      ...shared,
      unit,
      file: { key: fileKey, importId: file.importId, replaces },
      reading: directReading(layoutOf(found.file.kind, file.header)),
      fold: file.fold,
    });
    for (const portion of portions.filter((one) => one.fileKey === fileKey)) {
      intake.retry((await takeWaiting(unit, portion.key)) ?? []);
      await intake.relieve();
    }
    taken.push({ fileKey, name: file.name, counts: await intake.finish() });
  }
  return taken;
}

async function* recordsOf(path: string): AsyncGenerator<Located> {
  const splitter = new RecordSplitter();
  let bytes = 0;
  let openLine: number | null = null;
  for await (const block of readLines(path)) {
    bytes = block.bytes;
    openLine = block.open ? block.firstLine + block.lines.length - 1 : null;
    yield { records: splitter.push(block), openLine, bytes };
  }
  yield { records: splitter.end(), openLine, bytes };
}
