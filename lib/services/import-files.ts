import type { Store } from "@/db/client";
import { raiseDataVersion } from "@/db/queries/data-version";
import { addImport, addImportFile, addRejects, markUnreadable } from "@/db/queries/import-writes";
import { findImport } from "@/db/queries/imports";
import { rowWriter } from "@/db/row-writer";
import { inSavepoint, inUnit } from "@/db/unit";
import { AppError } from "@/lib/kernel/errors";
import type { FoldChoice } from "@/lib/kernel/time";
import { fileKinds } from "@/lib/records/files";
import type { Context } from "@/lib/services/context";
import { sizeOf } from "@/lib/services/import/file-bytes";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { FileIntake } from "@/lib/services/import/file-intake";
import { directReading, mappedReading } from "@/lib/services/import/file-reading";
import type { FileToImport } from "@/lib/services/import/file-to-import";
import { type ImportScope, LiveDirectory } from "@/lib/services/import/live-directory";
import type { PlainFile } from "@/lib/services/import/plain-readings";
import { type FilePlan, planFile } from "@/lib/services/import/plan-file";
import { type TakenIn, takeInFile, takeInWaiting } from "@/lib/services/import/take-in-file";
import { requirePermission } from "@/lib/services/permissions";
import { type ImportView, importViewOf } from "@/lib/services/show-import";

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
  /** The sites whose records the sender may bring; left out for one that may bring all. */
  readonly scope?: ImportScope;
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

type Candidate = { readonly key: number; readonly plan: FilePlan; readonly file: FileToImport };

/** Notes each file in the order given; those that can be read, in the order in which they can be loaded. */
async function notedFiles(
  unit: Store,
  { importId, request }: { importId: number; request: ImportRequest },
): Promise<Candidate[]> {
  const candidates: Candidate[] = [];
  const fold = request.fold ?? "refuse";
  for (const [position, file] of request.files.entries()) {
    const plan = await orFlaw(() => planFile(unit, file));
    const noted = { importId, position, name: file.name, fold };
    if (plan instanceof FileFlaw) {
      const key = await addImportFile(unit, { ...noted, kind: null, header: [], note: null });
      await addRejects(unit, [rejectOfFlaw(key, plan)]);
      continue;
    }
    const { kind, note, table, way, mappingVersionKey } = plan;
    const read =
      "layout" in way ? { header: way.layout.header, mapping: null } : { header: table.columns, mapping: way.settled };
    const key = await addImportFile(unit, {
      ...noted,
      kind,
      note,
      format: table.format,
      mappingVersionKey,
      mapping: read.mapping,
      header: [...read.header],
    });
    candidates.push({ key, plan, file });
  }
  const rank = ({ plan }: Candidate) => fileKinds.indexOf(plan.kind);
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
  const directory = new LiveDirectory(request.scope ?? null);
  await directory.refresh(unit);
  const shared = { directory, rows: rowWriter(unit), now };
  const progress = progressOf(request);
  const fold = request.fold ?? "refuse";
  const takenIn: TakenIn[] = [];
  const newDetectors = new Set<string>();
  const file = (key: number) => ({ key, importId, replaces: request.replaces ?? false });
  for (const kind of fileKinds) {
    // Rows that waited go in before the files of this import that may repeat them: they were sent earlier.
    if (kind === "readings")
      takenIn.push(...(await takeInWaiting(unit, { waitsFor: "detector", ids: newDetectors, ...shared })));
    for (const { key, plan, file: given } of candidates.filter((one) => one.plan.kind === kind)) {
      const reading = readingOf(plan, fold);
      const intake = new FileIntake({ ...shared, unit, file: file(key), reading, fold });
      const plain = plainFileOf(plan, { path: given.path, directory, now });
      const flaw = await orFlaw(() =>
        inSavepoint(unit, () => takeInFile(intake, { table: plan.table, plain, onRows: progress(given) })),
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

function readingOf({ way, table }: FilePlan, fold: FoldChoice) {
  if ("layout" in way) return directReading(way.layout);
  return mappedReading(way.settled, { columns: table.columns, fold });
}

/** A canonical readings file written plainly, whose rows can be read from its bytes; null for any other. */
function plainFileOf(
  { kind, way, table: { format, rewritten = false } }: FilePlan,
  rest: { path: string; directory: LiveDirectory; now: number },
): PlainFile | null {
  const plainText = format.form === "separated" && format.encoding === "utf-8" && format.separator === ",";
  if (kind !== "readings" || !("layout" in way) || !plainText || format.packed || rewritten) return null;
  return { ...rest, headerLine: format.headerLine, layout: way.layout };
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
