import { createReadStream } from "node:fs";
import { pipeline } from "node:stream";
import { createGunzip } from "node:zlib";
import { fileBytes, flawOf, type Piece, READ_SIZE, sizeOf } from "@/lib/services/import/file-bytes";
import { FileFlaw } from "@/lib/services/import/file-flaw";

/** Bytes a packed file may unpack to; a larger one is refused, so that a small file cannot keep the machine busy for hours. */
export const UNPACKED_LIMIT = 4 * 1024 * 1024 * 1024;
/** Bytes that may be unpacked before their ratio to the packed ones is looked at. */
export const RATIO_FREE = 64 * 1024 * 1024;
/** How many times larger than packed a file may be unpacked; tables come to 5 to 60, gzip itself ends near 1,030. */
export const RATIO_LIMIT = 250;

/** Whether a file begins as gzip does. */
export function isPacked(start: Uint8Array): boolean {
  return start[0] === 0x1f && start[1] === 0x8b;
}

/**
 * The bytes of a table as a stream, unpacked when it is packed by gzip; members that follow each other are one file.
 *
 * @throws FileFlaw when the file cannot be read, is cut or damaged, or unpacks to more than the limits
 */
export async function* unpackedBytes(path: string, { packed }: { packed: boolean }): AsyncGenerator<Piece> {
  if (!packed) {
    yield* fileBytes(path);
    return;
  }
  const source = createReadStream(path, { highWaterMark: READ_SIZE });
  const unpacker = createGunzip({ chunkSize: READ_SIZE });
  // The reading loop hears of each error itself; this ends the one stream with the other.
  pipeline(source, unpacker, () => undefined);
  let unpacked = 0;
  try {
    for await (const chunk of unpacker) {
      const data = Buffer.isBuffer(chunk) ? chunk : Buffer.from(String(chunk));
      unpacked += data.length;
      refuseBomb(unpacked, source.bytesRead);
      yield { data, bytes: source.bytesRead };
    }
  } catch (thrown) {
    throw damageOf(thrown);
  } finally {
    source.destroy();
    unpacker.destroy();
  }
  if (unpacker.bytesWritten < sizeOf(path)) throw new FileFlaw(TRAILING);
}

const TRAILING = "holds other bytes after its packed part; pack the table anew, or send it unpacked";
const CUT = "ends before its packed part does, so rows are missing; send the whole file again";
const DAMAGED = "is packed by gzip but damaged, so its rows cannot be trusted; pack it anew and send it again";

function refuseBomb(unpacked: number, packed: number): void {
  if (unpacked > UNPACKED_LIMIT) {
    throw new FileFlaw(`unpacks to more than ${UNPACKED_LIMIT / 1024 ** 3} GB; split it into smaller files`);
  }
  if (unpacked > RATIO_FREE && unpacked > RATIO_LIMIT * packed) {
    throw new FileFlaw(`unpacks to more than ${RATIO_LIMIT} times its size, as no table does; send it unpacked`);
  }
}

function damageOf(thrown: unknown): FileFlaw {
  const code = thrown instanceof Error && "code" in thrown ? String(thrown.code) : "";
  if (code === "Z_BUF_ERROR") return new FileFlaw(CUT);
  return code.startsWith("Z_") ? new FileFlaw(DAMAGED) : flawOf(thrown);
}
