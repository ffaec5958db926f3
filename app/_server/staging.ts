import { open, readdir, rm, rmdir, stat } from "node:fs/promises";
import path from "node:path";
import { AppError, messageOf } from "@/lib/kernel/errors";
import { DAY_MS } from "@/lib/kernel/units";

/** Largest file the page takes, in bytes: 2 GB. */
export const MAX_FILE_BYTES = 2_000_000_000;
/** Most files of one upload. */
export const MAX_FILES = 50;

/** A name for an uploaded file that no file of the upload has yet: sites.csv, then sites (2).csv. */
export function freeName(name: string, taken: ReadonlySet<string>): string {
  const safe = safeName(name);
  const { name: stem, ext } = path.parse(safe);
  let free = safe;
  for (let count = 2; taken.has(free.toLowerCase()); count += 1) free = `${stem} (${count})${ext}`;
  return free;
}

/** The last part of a name as a browser gives it, without anything that could lead out of a folder or hide the file. */
export function safeName(name: string): string {
  const last = name.split(/[\\/]/).at(-1) ?? "";
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are the characters to be removed
  const clean = last.replace(/[\u0000-\u001f\u007f<>:"|?*]/g, "_").replace(/^[.\s-]+/, "");
  return clean.slice(-120) || "file";
}

/**
 * Writes a request's body to `file` as it arrives, never holding more than a piece of it.
 *
 * @returns bytes written, always `expectedBytes`
 * @throws AppError invalid_input when more or fewer bytes arrive than announced, or the limit is passed; the file is
 * removed then
 */
export async function receiveFile(
  body: ReadableStream<Uint8Array> | null,
  { file, expectedBytes, maxBytes = MAX_FILE_BYTES }: { file: string; expectedBytes: number; maxBytes?: number },
): Promise<number> {
  if (expectedBytes > maxBytes) throw tooLarge(maxBytes);
  const handle = await open(file, "w").catch((thrown: unknown) => {
    throw notKept(thrown, { bytes: 0, expectedBytes });
  });
  const reader = body?.getReader();
  let bytes = 0;
  let failed = false;
  try {
    for (let piece = await reader?.read(); piece && !piece.done; piece = await reader?.read()) {
      bytes += piece.value.byteLength;
      if (bytes > expectedBytes) break;
      await handle.writeFile(piece.value);
    }
  } catch (thrown) {
    failed = true;
    throw notKept(thrown, { bytes, expectedBytes });
  } finally {
    await handle.close();
    // A sender that is not told to stop would go on to the end of a large file.
    if (failed || bytes > expectedBytes) await reader?.cancel().catch(() => undefined);
    if (failed || bytes !== expectedBytes) await rm(file, { force: true });
  }
  if (bytes !== expectedBytes) {
    throw new AppError("invalid_input", `${bytes} of ${expectedBytes} bytes arrived; send the file again`);
  }
  return bytes;
}

/** Removes what an upload left, files and folder, and the folder of all uploads when it was the last. */
export async function removeStaged(folder: string): Promise<void> {
  await rm(folder, { recursive: true, force: true });
  // Another upload may be in it: then it is not empty and stays.
  await rmdir(path.dirname(folder)).catch(() => undefined);
}

/** Removes upload folders older than a day, left by a server that was stopped in the middle. */
export async function removeLeftovers(root: string, { now }: { now: number }): Promise<void> {
  const names = await readdir(root).catch(() => []);
  for (const name of names) {
    const folder = path.join(root, name);
    const found = await stat(folder).catch(() => null);
    if (found && now - found.mtimeMs > DAY_MS) await removeStaged(folder);
  }
}

/** EFBIG: a limit on the size of files counts as a disk that is full. */
const fullDisk = new Set(["ENOSPC", "EDQUOT", "EFBIG"]);

function notKept(thrown: unknown, { bytes, expectedBytes }: { bytes: number; expectedBytes: number }): AppError {
  const code = thrown instanceof Error && "code" in thrown ? String(thrown.code) : "";
  const after = `after ${bytes} of ${expectedBytes} bytes`;
  return new AppError(
    "invalid_input",
    fullDisk.has(code)
      ? `the disk is full (${after}): free space on it, then send the file again`
      : `${messageOf(thrown)} ${after}; send the file again`,
  );
}

function tooLarge(maxBytes: number): AppError {
  const limit = `${Math.round(maxBytes / 1e6).toLocaleString("en")} MB`;
  return new AppError("invalid_input", `the file is larger than ${limit}; split it, or import it on the command line`);
}
