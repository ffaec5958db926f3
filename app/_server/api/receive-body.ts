import { mkdir, open, rm } from "node:fs/promises";
import path from "node:path";
import { messageOf } from "@/lib/kernel/errors";
import { tooLarge } from "@/lib/services/api/inspect-body";
import { interfaceLimits } from "@/lib/services/api/interface";
import { Refused } from "@/lib/services/api/problem";

// So much of a body that is too large is still read and thrown away, so that its sender hears why it was refused.
const DRAINED_BYTES = 5 * interfaceLimits.bodyBytes;

/**
 * Writes the body of a request to `file` as it arrives, holding one piece of it at a time.
 *
 * @throws Refused when it is too large, when other bytes arrive than Content-Length says, or the disk takes no more; the
 * file is removed then
 */
export async function receiveBody(request: Request, { file }: { file: string }): Promise<void> {
  const expected = announcedBytes(request.headers);
  if (expected !== null && expected > DRAINED_BYTES) throw tooLargeToSend();
  const handle = await onDisk(async () => {
    await mkdir(path.dirname(file), { recursive: true });
    return open(file, "wx", 0o600);
  });
  try {
    const bytes = await writePieces(request.body, (piece) => handle.writeFile(piece));
    if (bytes > interfaceLimits.bodyBytes) throw tooLargeToSend();
    if (expected !== null && bytes !== expected) {
      throw new Refused("malformed-request", `${bytes} of ${expected} bytes arrived; send the request again`);
    }
  } catch (thrown) {
    await rm(file, { force: true });
    throw thrown;
  } finally {
    await handle.close();
  }
}

async function writePieces(
  body: ReadableStream<Uint8Array> | null,
  write: (piece: Uint8Array) => Promise<void>,
): Promise<number> {
  const reader = body?.getReader();
  let bytes = 0;
  for (let piece = await nextOf(reader, bytes); piece; piece = await nextOf(reader, bytes)) {
    bytes += piece.byteLength;
    if (bytes > DRAINED_BYTES) {
      await reader?.cancel().catch(() => undefined);
      return bytes;
    }
    if (bytes > interfaceLimits.bodyBytes) continue;
    await onDisk(() => write(piece));
  }
  return bytes;
}

async function onDisk<Result>(work: () => Promise<Result>): Promise<Result> {
  try {
    return await work();
  } catch {
    const headers = { "retry-after": "60" };
    throw new Refused("no-room", "the server could not keep the body, its disk may be full", { headers });
  }
}

async function nextOf(reader: ReadableStreamDefaultReader<Uint8Array> | undefined, bytes: number) {
  try {
    const piece = await reader?.read();
    return piece && !piece.done ? piece.value : null;
  } catch (thrown) {
    throw new Refused("malformed-request", `${messageOf(thrown)} after ${bytes} bytes; send the request again`);
  }
}

/** Bytes the request says its body has; null for one that is sent in chunks without saying. */
function announcedBytes(headers: Headers): number | null {
  const text = headers.get("content-length");
  if (text === null) return null;
  if (!/^\d{1,15}$/.test(text)) throw new Refused("malformed-request", "Content-Length is not a number of bytes");
  return Number(text);
}

function tooLargeToSend(): Refused {
  return tooLarge(`${interfaceLimits.bodyBytes / 1e6} MB`);
}
