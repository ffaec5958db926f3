import type { Store } from "@/db/client";
import { raiseDataVersion } from "@/db/queries/data-version";
import { addImport, addImportFile, addRejects, markUnreadable } from "@/db/queries/import-writes";
import { findImport } from "@/db/queries/imports";
import { rowWriter } from "@/db/row-writer";
import { inSavepoint, inUnit } from "@/db/unit";
import type { Layout } from "@/lib/import/header";
import { AppError } from "@/lib/kernel/errors";
import type { FoldChoice } from "@/lib/kernel/time";
import { fileKinds } from "@/lib/records/files";
import type { Context } from "@/lib/services/context";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { FileIntake } from "@/lib/services/import/file-intake";
import { directReading } from "@/lib/services/import/file-reading";
import { LiveDirectory } from "@/lib/services/import/live-directory";
import { sizeOf } from "@/lib/services/import/read-lines";
import { headerLineOf, probeFile, type TakenIn, takeInFile, takeInWaiting } from "@/lib/services/import/take-in-file";
import { requirePermission } from "@/lib/services/permissions";
import { type ImportView, importViewOf } from "@/lib/services/show-import";

/** A file to import: the name it is reported under, and where it stands. */
export type FileToImport = { readonly name: string; readonly path: string };

/** How far an import is: the file at hand, its rows so far, and bytes read of all bytes. */
export type ImportProgress = {
  readonly file: string;
  readonly rows: number;
  readonly bytes: number;
  readonly totalBytes: number;
};

/** An import as it ended; `takenIn` are rows of earlier imports that had waited for what this one brought. */
export type ImportReport = ImportView & { readonly takenIn: readonly TakenIn[] };

/** What is to be imported and how; `fold` says which instant an ambiguous wall time means, in all the files. */
export type ImportRequest = {
  readonly files: readonly FileToImport[];
  readonly replaces?: boolean;
  readonly fold?: FoldChoice;
  readonly onProgress?: (progress: ImportProgress) => void;
  /** Called inside the unit before it ends: what it stores stands or falls with the rows; when it throws, nothing is stored. */
  readonly beforeEnd?: (unit: Store, report: ImportReport) => Promise<void>;
};

/**
 * Imports files as one unit: all that is good in them is stored at once, or, when the process dies, nothing.
 *
 * The order of the files does not matter. A file that cannot be read changes nothing and is reported; rows refused are
 * kept with their reason; rows that name a site or detector not known yet wait for it.
 */
export async function importFiles(context: Context, request: ImportRequest): Promise<ImportReport> {
  requirePermission(context, "import");
  if (request.files.length === 0) throw new AppError("invalid_input", "no file to import; name at least one CSV file");
  return inUnit(context.store, async (unit) => {
    const importId = await addImport(unit, { importedAt: context.now, replaces: request.replaces ?? false });
    const candidates = await notedFiles(unit, { importId, request });
    const takenIn = await takeInAll(unit, { importId, candidates, request, now: context.now });
    const done = await findImport(unit, importId);
    if (!done) throw new Error(`import ${importId} vanished from its own unit`);
    const changed = done.files.some((file) => file.accepted > 0) || takenIn.some((one) => one.counts.accepted > 0);
    if (changed) await raiseDataVersion(unit);
    const report = { ...(await importViewOf(unit, done)), takenIn };
    await request.beforeEnd?.(unit, report);
    return report;
  });
}

type Candidate = { readonly key: number; readonly layout: Layout; readonly file: FileToImport };

/** Notes each file in the order given; those that can be read, in the order in which they can be loaded. */
async function notedFiles(
  unit: Store,
  { importId, request }: { importId: number; request: ImportRequest },
): Promise<Candidate[]> {
  const candidates: Candidate[] = [];
  const fold = request.fold ?? "refuse";
  for (const [position, file] of request.files.entries()) {
    const layout = await orFlaw(() => probeFile(file));
    const readable = !(layout instanceof FileFlaw);
    const { kind, note } = readable ? layout : { kind: null, note: null };
    const header = readable ? [...layout.header] : [];
    const key = await addImportFile(unit, { importId, position, name: file.name, kind, fold, header, note });
    if (readable) candidates.push({ key, layout, file });
    else await addRejects(unit, [rejectOfFlaw(key, layout)]);
  }
  const rank = ({ layout }: Candidate) => fileKinds.indexOf(layout.kind);
  return candidates.toSorted((one, other) => rank(one) - rank(other));
}

async function takeInAll(
  unit: Store,
  {
    importId,
    candidates,
    request,
    now,
  }: { importId: number; candidates: readonly Candidate[]; request: ImportRequest; now: number },
): Promise<TakenIn[]> {
  const directory = new LiveDirectory();
  await directory.refresh(unit);
  const shared = { directory, rows: rowWriter(unit), now };
  const progress = progressOf(request);
  const takenIn: TakenIn[] = [];
  const newDetectors = new Set<string>();
  const file = (key: number) => ({ key, importId, replaces: request.replaces ?? false });
  for (const kind of fileKinds) {
    // Rows that waited go in before the files of this import that may repeat them: they were sent earlier.
    if (kind === "readings")
      takenIn.push(...(await takeInWaiting(unit, { waitsFor: "detector", ids: newDetectors, ...shared })));
    for (const { key, layout, file: given } of candidates.filter((one) => one.layout.kind === kind)) {
      const setting = {
        ...shared,
        unit,
        file: file(key),
        reading: directReading(layout),
        fold: request.fold ?? "refuse",
      };
      const onRows = progress(given);
      const headerLine = kind === "readings" ? await headerLineOf(given.path) : 0;
      const plain = headerLine > 0 ? { path: given.path, headerLine, layout, directory, now } : null;
      const flaw = await orFlaw(() =>
        inSavepoint(unit, () => takeInFile(new FileIntake(setting), { path: given.path, plain, onRows })),
      );
      if (!(flaw instanceof FileFlaw)) continue;
      await markUnreadable(unit, key);
      await addRejects(unit, [rejectOfFlaw(key, flaw)]);
    }
    const found = kind === "sites" || kind === "detectors" ? await directory.refresh(unit) : null;
    for (const id of found?.newDetectors ?? []) newDetectors.add(id);
    if (kind !== "sites" || !found) continue;
    takenIn.push(...(await takeInWaiting(unit, { waitsFor: "site", ids: found.newSites, ...shared })));
    for (const id of (await directory.refresh(unit)).newDetectors) newDetectors.add(id);
  }
  return takenIn;
}

function progressOf({ files, onProgress }: ImportRequest) {
  const sizes = new Map(files.map((file) => [file, sizeOf(file.path)]));
  const totalBytes = [...sizes.values()].reduce((total, size) => total + size, 0);
  let before = 0;
  return (file: FileToImport) => {
    const start = before;
    before += sizes.get(file) ?? 0;
    return (rows: number, bytes: number) => {
      onProgress?.({ file: file.name, rows, bytes: Math.min(start + bytes, totalBytes), totalBytes });
    };
  };
}

async function orFlaw<Value>(read: () => Promise<Value>): Promise<Value | FileFlaw> {
  try {
    return await read();
  } catch (thrown) {
    if (thrown instanceof FileFlaw) return thrown;
    throw thrown;
  }
}

function rejectOfFlaw(fileKey: number, { line, column, value, message }: FileFlaw) {
  return { fileKey, line, column, value, reason: message, cells: [] };
}
