import { mkdir, readdir, rename, stat, writeFile } from "node:fs/promises";
import { join, parse, resolve } from "node:path";
import { findImport } from "@/db/queries/imports";
import { findWatchedFile, forgetWatchedFile, noteWatchedFile } from "@/db/queries/watched-files";
import { inUnit } from "@/db/unit";
import { AppError, messageOf } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { downloadConflicts } from "@/lib/services/download-conflicts";
import { downloadRejects } from "@/lib/services/download-rejects";
import type { ReadChoices } from "@/lib/services/import/file-to-import";
import { importFiles } from "@/lib/services/import-files";
import { requirePermission } from "@/lib/services/permissions";
import { type ImportView, importViewOf } from "@/lib/services/show-import";

/** How the files of a watched folder are taken in. */
export type WatchChoices = ReadChoices & {
  readonly folder: string;
  /** How long a file must have stood unchanged before it is taken: senders write over a while. */
  readonly settledMs: number;
  readonly replaces?: boolean;
  readonly fold?: "refuse" | "first" | "second";
};

/** What became of one file of a watched folder; `movedTo` is its new path. */
export type WatchedFile = {
  readonly name: string;
  /** `done`: its rows are in or were there. `partly`: some did not go in. `failed`: none went in, or it cannot be read. */
  readonly state: "done" | "partly" | "failed";
  readonly movedTo: string;
  readonly importId: number | null;
  readonly reason: string | null;
};

/** Size and time of change of the files that were still being written at the last look, by name. */
export type Unsettled = Map<string, { readonly size: number; readonly changedAt: number }>;

/**
 * Takes in, one import a file, each file of a folder that stands unchanged, and moves it to `done` or `failed` in that
 * folder, with a report beside it, the rows that did not go in, and those that stood with other values.
 *
 * A file is moved only after its import is stored, and noted in the same unit: when the process dies between the two, the
 * next look moves it without importing it again. Hidden files, folders and names that end in .part, .tmp or .filepart are left alone.
 *
 * @throws AppError invalid_input when the folder cannot be read, a file not be moved or a report not be written; conflict while another process writes to the store
 */
export async function* takeInFolder(
  context: Context,
  { folder, settledMs, ...choices }: WatchChoices,
  { unsettled, now }: { unsettled: Unsettled; now: () => number },
): AsyncGenerator<WatchedFile> {
  requirePermission(context, "import");
  const names = await settledNames(folder, { settledMs, unsettled, now: now(), storeFile: context.store.file });
  for (const name of names) yield takeInOne({ ...context, now: now() }, { folder, name, choices });
}

async function settledNames(
  folder: string,
  { settledMs, unsettled, now, storeFile }: { settledMs: number; unsettled: Unsettled; now: number; storeFile: string },
): Promise<string[]> {
  const names: string[] = [];
  for (const name of (await listed(folder)).toSorted()) {
    if (name.startsWith(".") || /\.(part|tmp|filepart)$/i.test(name)) continue;
    // The store may stand in the folder, with its log beside it.
    if (resolve(folder, name).replace(/-(wal|shm|journal)$/, "") === storeFile) continue;
    const found = await stat(join(folder, name)).catch(() => null);
    if (!found?.isFile()) continue;
    const seen = { size: found.size, changedAt: found.mtimeMs };
    const before = unsettled.get(name);
    const still = before === undefined || (before.size === seen.size && before.changedAt === seen.changedAt);
    // A clock of the sender that runs ahead must not keep its file waiting for ever: then two equal looks suffice.
    const old = now - seen.changedAt >= settledMs || (before !== undefined && seen.changedAt > now);
    if (still && old) {
      unsettled.delete(name);
      names.push(name);
    } else unsettled.set(name, seen);
  }
  return names;
}

async function listed(folder: string): Promise<string[]> {
  try {
    return await readdir(folder);
  } catch (thrown) {
    throw new AppError("invalid_input", `the folder ${folder} cannot be read: ${messageOf(thrown)}`);
  }
}

async function takeInOne(
  context: Context,
  { folder, name, choices }: { folder: string; name: string; choices: Omit<WatchChoices, "folder" | "settledMs"> },
): Promise<WatchedFile> {
  const path = join(folder, name);
  const report = (await importedBefore(context, path)) ?? (await importNoted(context, { name, path, choices }));
  const state = stateOf(report);
  const target = join(folder, state === "failed" ? "failed" : "done");
  const free = await moved(path, { target, name });
  await inUnit(context.store, (unit) => forgetWatchedFile(unit, path));
  await writeReports(context, { report, state, path: join(target, free) });
  const reason = report.files.find((file) => file.failure !== null)?.failure?.reason ?? null;
  return { name, state, movedTo: join(target, free), importId: report.id, reason };
}

/** The import of a file that was stored by a process which died before it moved the file; null for one not seen yet. */
async function importedBefore(context: Context, path: string): Promise<ImportView | null> {
  const note = await findWatchedFile(context.store, path);
  if (!note) return null;
  const { size, mtimeMs } = await stat(path);
  const stored = await findImport(context.store, note.importId);
  const same = note.bytes === size && note.changedAt === mtimeMs && stored?.takenBackAt === null;
  return same ? importViewOf(context.store, stored) : null;
}

async function importNoted(
  context: Context,
  { name, path, choices }: { name: string; path: string; choices: Omit<WatchChoices, "folder" | "settledMs"> },
): Promise<ImportView> {
  const { replaces = false, fold = "refuse", ...read } = choices;
  const { size: bytes, mtimeMs: changedAt } = await stat(path);
  return importFiles(context, {
    files: [{ name, path, ...read }],
    replaces,
    fold,
    beforeEnd: (unit, { id: importId }) => noteWatchedFile(unit, { path, bytes, changedAt, importId }),
  });
}

/** Moves a file into a folder under a name that is free there; the name. */
async function moved(path: string, { target, name }: { target: string; name: string }): Promise<string> {
  try {
    await mkdir(target, { recursive: true });
    const free = await freeName(target, name);
    await rename(path, join(target, free));
    return free;
  } catch (thrown) {
    throw new AppError(
      "invalid_input",
      `${path} is imported, but cannot be moved to ${target}: ${messageOf(thrown)}; mend that and watch again`,
    );
  }
}

async function writeReports(
  context: Context,
  { report, state, path }: { report: ImportView; state: WatchedFile["state"]; path: string },
): Promise<void> {
  const { id: importId, files } = report;
  const readable = files.filter((file) => file.kind !== null);
  try {
    await writeFile(`${path}.report.json`, `${JSON.stringify(reportOf(report, state), null, 2)}\n`);
    if (readable.some((file) => file.refused + file.waiting + file.leftOut > 0)) {
      await writeFile(`${path}.not-in.csv`, downloadRejects(context, { importId }));
    }
    if (readable.some((file) => file.conflicts + file.replaced > 0)) {
      await writeFile(`${path}.conflicts.csv`, downloadConflicts(context, { importId }));
    }
  } catch (thrown) {
    throw new AppError(
      "invalid_input",
      `${path} is imported (import ${importId}), but its report cannot be written: ${messageOf(thrown)}; the imports page has it`,
    );
  }
}

function stateOf({ files }: ImportView): WatchedFile["state"] {
  const total = { used: 0, lost: 0 };
  for (const { failure, accepted, duplicates, refused, waiting, conflicts } of files) {
    if (failure) return "failed";
    total.used += accepted + duplicates + waiting;
    total.lost += refused + waiting + conflicts;
  }
  if (total.lost === 0) return "done";
  return total.used > 0 ? "partly" : "failed";
}

function reportOf({ id, importedAt, files }: ImportView, state: WatchedFile["state"]) {
  return {
    state,
    import: id,
    importedAt: new Date(importedAt).toISOString(),
    files: files.map(({ fileKey: _key, fold: _fold, ...file }) => file),
  };
}

const reportEnds = [".report.json", ".not-in.csv", ".conflicts.csv"];

/** A name that neither the file nor its report or rows not in have there yet: readings.csv, then readings (2).csv. */
async function freeName(folder: string, name: string): Promise<string> {
  const taken = new Set(await readdir(folder));
  const { name: stem, ext } = parse(name);
  const isFree = (one: string) => ["", ...reportEnds].every((end) => !taken.has(`${one}${end}`));
  let free = name;
  for (let count = 2; !isFree(free); count += 1) free = `${stem} (${count})${ext}`;
  return free;
}
