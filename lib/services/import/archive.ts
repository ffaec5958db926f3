import zlib from "node:zlib";
import { type Entry, fromBufferPromise, openPromise, type ZipFile } from "yauzl";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { RATIO_FREE, RATIO_LIMIT, UNPACKED_LIMIT } from "@/lib/services/import/unpacked-bytes";

/** Parts an archive may hold; a workbook has a few dozen. */
export const PARTS_LIMIT = 10_000;

/** The archive a workbook is: its parts by path, read one by one. `close` it when done. */
export type Archive = {
  readonly parts: ReadonlyMap<string, Entry>;
  /** Pieces of a part, unpacked, checked against its size and checksum at its end. */
  read(part: Entry): AsyncGenerator<Buffer>;
  close(): void;
};

/**
 * Opens an archive from disk or, when it came packed once more, from memory. Its directory stands at its end, so one that
 * is cut is known at once.
 *
 * @throws FileFlaw when it is damaged, holds too many parts, or a part that is read unpacks beyond the limits
 */
export async function openArchive(from: string | Buffer): Promise<Archive> {
  const options = { lazyEntries: true, autoClose: false };
  const zip = await sound(() =>
    typeof from === "string" ? openPromise(from, options) : fromBufferPromise(from, options),
  );
  // Without a listener an error of the archive would end the process; each reading hears of its own.
  zip.on("error", () => undefined);
  try {
    const parts = await sound(() => partsOf(zip));
    return { parts, read: (part) => readPart(zip, part), close: () => zip.close() };
  } catch (thrown) {
    zip.close();
    throw thrown;
  }
}

async function partsOf(zip: ZipFile): Promise<Map<string, Entry>> {
  const parts = new Map<string, Entry>();
  if (zip.entryCount > PARTS_LIMIT) throw new FileFlaw(`holds more than ${PARTS_LIMIT} parts, as no workbook does`);
  for await (const entry of zip.eachEntry()) {
    if (parts.has(entry.fileName)) throw new FileFlaw(`holds the part ${entry.fileName} twice, so it is damaged`);
    parts.set(entry.fileName, entry);
  }
  return parts;
}

async function* readPart(zip: ZipFile, part: Entry): AsyncGenerator<Buffer> {
  if (part.isEncrypted()) throw new FileFlaw("is protected by a password; take it off and send the workbook again");
  refuseBomb(part);
  const stream = await sound(() => zip.openReadStreamPromise(part));
  let checksum = 0;
  let bytes = 0;
  try {
    for await (const chunk of stream) {
      const data = Buffer.isBuffer(chunk) ? chunk : Buffer.from(String(chunk));
      bytes += data.length;
      checksum = zlib.crc32(data, checksum);
      yield data;
    }
  } catch (thrown) {
    throw damaged(thrown);
  } finally {
    stream.destroy();
  }
  if (bytes !== part.uncompressedSize || checksum !== part.crc32) throw damaged("checksum");
}

function refuseBomb({ compressedSize, uncompressedSize }: Entry): void {
  const beyond = uncompressedSize > RATIO_FREE && uncompressedSize > RATIO_LIMIT * compressedSize;
  if (beyond || uncompressedSize > UNPACKED_LIMIT) {
    throw new FileFlaw("is a workbook that unpacks to far more than a table; save the sheet as CSV");
  }
}

async function sound<T>(step: () => Promise<T>): Promise<T> {
  try {
    return await step();
  } catch (thrown) {
    throw damaged(thrown);
  }
}

function damaged(thrown: unknown): FileFlaw {
  if (thrown instanceof FileFlaw) return thrown;
  return new FileFlaw("is a damaged or cut workbook; open it, save it anew and send it again");
}
