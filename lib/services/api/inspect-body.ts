import { createHash } from "node:crypto";
import { apiLimits } from "@/lib/report/api/limits";
import { Refused } from "@/lib/services/api/problem";
import { firstBytes } from "@/lib/services/import/file-bytes";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { isPacked, unpackedBytes } from "@/lib/services/import/unpacked-bytes";

/**
 * Reads a received body through once: refuses one that is empty, too long unpacked or no text, and gives the SHA-256 in
 * hex of `head` and the unpacked bytes, by which two requests are told apart.
 *
 * @throws Refused
 */
export async function inspectBody(
  path: string,
  { head, saidPacked }: { head: string; saidPacked: boolean },
): Promise<string> {
  const packed = isPacked(await firstBytes(path, 4));
  if (saidPacked && !packed) {
    throw new Refused("malformed-request", "Content-Encoding says gzip, but the body is not packed by gzip");
  }
  const hash = createHash("sha256").update(head).update("\n");
  let bytes = 0;
  let lines = 0;
  try {
    for await (const { data } of unpackedBytes(path, { packed })) {
      if (bytes === 0 && data.subarray(0, 4).toString("latin1") === "PK\u0003\u0004") {
        throw new Refused("unknown-media-type", "the body is a workbook or archive; send JSON lines or CSV");
      }
      bytes += data.length;
      lines += lineEndsIn(data);
      if (bytes > apiLimits.bodyBytes) throw tooLarge(`${apiLimits.bodyBytes / 1e6} MB unpacked`);
      if (lines > apiLimits.bodyLines) throw tooLarge(`${apiLimits.bodyLines.toLocaleString("en")} lines`);
      hash.update(data);
    }
  } catch (thrown) {
    if (thrown instanceof FileFlaw) throw new Refused("malformed-request", `the body ${thrown.message}`);
    throw thrown;
  }
  if (bytes === 0) throw new Refused("malformed-request", "the request has no body; send at least one row");
  return hash.digest("hex");
}

/** The refusal of a body that passes a limit. */
export function tooLarge(limit: string): Refused {
  return new Refused("too-large", `the body has more than ${limit}; split the rows over several requests`);
}

/** Old systems end their lines by a carriage return alone. */
function lineEndsIn(data: Buffer): number {
  return Math.max(count(data, 0x0a), count(data, 0x0d));
}

function count(data: Buffer, byte: number): number {
  let found = 0;
  for (let at = data.indexOf(byte); at !== -1; at = data.indexOf(byte, at + 1)) found += 1;
  return found;
}
