import { isAscii, isUtf8 } from "node:buffer";
import iconv from "iconv-lite";
import { type EncodingEvidence, encodingOf, openBytes, weighBytes } from "@/lib/import/table/encoding-evidence";
import type { Encoding } from "@/lib/import/table/table-format";
import type { Piece } from "@/lib/services/import/file-bytes";

/**
 * The encoding of text without a mark, found over the whole of it: a single é at its end must not be misread.
 *
 * Reads all pieces; those that are UTF-8 cost next to nothing.
 */
export async function findEncoding(pieces: AsyncIterable<Piece>): Promise<Encoding> {
  const evidence: EncodingEvidence = { multiByte: 0, invalid: 0, implausible: 0 };
  let rest = Buffer.alloc(0);
  for await (const { data } of pieces) {
    if (rest.length === 0 && isAscii(data)) continue;
    const all = rest.length === 0 ? data : Buffer.concat([rest, data]);
    const whole = all.subarray(0, all.length - openBytes(all));
    rest = Buffer.from(all.subarray(whole.length));
    if (isUtf8(whole)) evidence.multiByte += whole.length - whole.toString("utf8").length;
    else weighBytes(whole, evidence);
  }
  // A file cut inside a character of UTF-8 ends in one of these or in more bytes; another last byte is a letter of its own.
  if (rest.length === 1 && !cutLeads.has(rest[0] ?? 0)) weighBytes(rest, evidence);
  return encodingOf(evidence);
}

const cutLeads: ReadonlySet<number> = new Set([0xc2, 0xc3, 0xe2]);

/**
 * Text in any encoding as UTF-8.
 *
 * What is no character in its encoding comes as a byte that UTF-8 never has, so that the reader refuses its line instead
 * of taking a replacement for the text.
 */
export async function* asUtf8(pieces: AsyncIterable<Piece>, encoding: Encoding): AsyncGenerator<Piece> {
  if (encoding === "utf-8") yield* pieces;
  else if (encoding === "windows-1252") {
    // Node's own decoder takes the bytes 0x80 to 0x9f for control characters.
    for await (const { data, bytes } of pieces) {
      yield { data: isAscii(data) ? data : bytesOf(iconv.decode(data, "win1252"), /\ufffd/), bytes };
    }
  } else yield* fromWide(pieces, encoding);
}

async function* fromWide(pieces: AsyncIterable<Piece>, encoding: "utf-16le" | "utf-16be"): AsyncGenerator<Piece> {
  let rest = Buffer.alloc(0);
  let bytes = 0;
  for await (const piece of pieces) {
    bytes = piece.bytes;
    const all = rest.length === 0 ? piece.data : Buffer.concat([rest, piece.data]);
    let length = all.length - (all.length % 2);
    const upper = length < 2 ? 0 : (all[encoding === "utf-16le" ? length - 1 : length - 2] ?? 0);
    // The first half of a pair of units waits for the second.
    if (upper >= 0xd8 && upper <= 0xdb) length -= 2;
    rest = Buffer.from(all.subarray(length));
    if (length > 0) yield { data: fromUnits(all.subarray(0, length), encoding), bytes };
  }
  if (rest.length >= 2) yield { data: fromUnits(rest.subarray(0, 2), encoding), bytes };
  if (rest.length % 2 === 1) yield { data: NO_CHARACTER, bytes };
}

function fromUnits(units: Buffer, encoding: "utf-16le" | "utf-16be"): Buffer {
  const little = encoding === "utf-16le" ? units : Buffer.from(units).swap16();
  return bytesOf(little.toString("utf16le"), /\p{Surrogate}/u);
}

const NO_CHARACTER = Buffer.from([0xff]);

function bytesOf(text: string, broken: RegExp): Buffer {
  if (!broken.test(text)) return Buffer.from(text, "utf8");
  const [first = "", ...others] = text.split(broken);
  return Buffer.concat([
    Buffer.from(first, "utf8"),
    ...others.flatMap((part) => [NO_CHARACTER, Buffer.from(part, "utf8")]),
  ]);
}
