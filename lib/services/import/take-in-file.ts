import type { Store } from "@/db/client";
import { type CountChange, findImportFile, listAwaiting, takeWaiting } from "@/db/queries/import-writes";
import type { StoredImportFile } from "@/db/queries/imports";
import type { RowWriter } from "@/db/row-writer";
import { layoutOf } from "@/lib/import/header";
import { settledMappingSchema } from "@/lib/import/mapping/settled-mapping";
import type { Table } from "@/lib/import/table/table";
import type { FileKind } from "@/lib/records/files";
import { FileIntake } from "@/lib/services/import/file-intake";
import { directReading, type FileReading, mappedReading } from "@/lib/services/import/file-reading";
import type { LiveDirectory } from "@/lib/services/import/live-directory";
import { type PlainFile, takePlainReadings } from "@/lib/services/import/plain-readings";

/** Takes in the rows of a table; `plain` when they can be read from its bytes; `onRows` hears of each block. */
export async function takeInFile(
  intake: FileIntake,
  { table, plain, onRows }: { table: Table; plain: PlainFile | null; onRows: (rows: number, bytes: number) => void },
): Promise<CountChange> {
  const endBlock = async (bytes: number) => {
    await intake.relieve();
    onRows(intake.counts.rows, bytes);
  };
  // What can be read from the bytes is; the rest of the file begins at this line.
  const restFrom = plain ? await takePlainReadings(plain, { intake, endBlock }) : 1;
  if (restFrom === Infinity) return intake.finish();
  for await (const { records, openLine, bytes } of table.rows()) {
    for (const record of records) {
      if (record.line >= restFrom) intake.take(record, { open: record.line === openLine });
    }
    await endBlock(bytes);
  }
  return intake.finish();
}

/** How the rows of a file are read that is kept in the store: by its own header, or by the mapping it was read with. */
function readingOf(file: StoredImportFile & { kind: FileKind }): FileReading {
  if (file.mapping === null) return directReading(layoutOf(file.kind, file.header));
  return mappedReading(settledMappingSchema.parse(file.mapping), { columns: file.header, fold: file.fold });
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
    const { kind } = found.file;
    const intake = new FileIntake({
      ...shared,
      unit,
      file: { key: fileKey, importId: file.importId, replaces },
      reading: readingOf({ ...file, kind }),
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
