import type { Encoding } from "@/lib/import/table/table-format";

/**
 * What the bytes of a file say of its encoding.
 *
 * `multiByte`: bytes that continue a well-formed character of UTF-8. `invalid`: bytes above 127 that belong to none.
 * `implausible`: control characters, and bytes that no character of Windows-1252 has, in places that are not UTF-8.
 */
export type EncodingEvidence = { multiByte: number; invalid: number; implausible: number };

/**
 * The encoding of a file without a mark, from evidence over the whole of it.
 *
 * Windows-1252 only where bytes outside UTF-8 are far more than characters of UTF-8, and the rest is text: a file of
 * UTF-8 with a few broken lines stays UTF-8, so that those lines are refused and no other is misread.
 */
export function encodingOf({ multiByte, invalid, implausible }: EncodingEvidence): Encoding {
  const other = invalid > 0 && multiByte * 10 <= invalid && implausible * 50 <= invalid;
  return other ? "windows-1252" : "utf-8";
}

/** Adds to the evidence what a piece of a file says; the piece begins and ends between characters. */
export function weighBytes(bytes: Uint8Array, evidence: EncodingEvidence): void {
  for (let at = 0; at < bytes.length; ) {
    const byte = bytes[at] ?? 0;
    if (byte < 0x80) {
      if (byte < 0x20 && isControl(byte)) evidence.implausible += 1;
      at += 1;
      continue;
    }
    const length = sequenceAt(bytes, at);
    if (length > 0) {
      evidence.multiByte += length - 1;
      at += length;
      continue;
    }
    evidence.invalid += 1;
    if (undefinedBytes.has(byte)) evidence.implausible += 1;
    at += 1;
  }
}

/** Bytes at the end of a piece that begin a character of UTF-8 without ending it: 0 to 3. */
export function openBytes(bytes: Uint8Array): number {
  for (let back = 1; back <= 3 && back <= bytes.length; back += 1) {
    const byte = bytes[bytes.length - back] ?? 0;
    if (byte < 0x80) return 0;
    if (byte >= 0xc2) return lengthFrom(byte) > back ? back : 0;
  }
  return 0;
}

/** The form of UTF-16 that the zero bytes of a beginning betray; null when they betray none. */
export function wideEncodingOf(start: Uint8Array): Encoding | null {
  const units = Math.floor(Math.min(start.length, 4_096) / 2);
  if (units < 2) return null;
  let even = 0;
  let odd = 0;
  for (let unit = 0; unit < units; unit += 1) {
    if (start[2 * unit] === 0) even += 1;
    if (start[2 * unit + 1] === 0) odd += 1;
  }
  // Text of any language has digits, separators and line ends, whose upper byte is zero; a lower byte is zero in almost none.
  if (odd >= units * 0.3 && even * 10 <= odd) return "utf-16le";
  if (even >= units * 0.3 && odd * 10 <= even) return "utf-16be";
  return null;
}

/** The encoding a byte order mark names, and the bytes of that mark; null without a mark. */
export function markOf(start: Uint8Array): { readonly encoding: Encoding; readonly length: number } | null {
  const [first, second, third] = start;
  if (first === 0xef && second === 0xbb && third === 0xbf) return { encoding: "utf-8", length: 3 };
  if (first === 0xff && second === 0xfe) return { encoding: "utf-16le", length: 2 };
  if (first === 0xfe && second === 0xff) return { encoding: "utf-16be", length: 2 };
  return null;
}

// The five bytes for which the code page has no character.
const undefinedBytes: ReadonlySet<number> = new Set([0x81, 0x8d, 0x8f, 0x90, 0x9d]);

function isControl(byte: number): boolean {
  return byte < 0x09 || byte === 0x0b || byte > 0x0d;
}

function lengthFrom(lead: number): number {
  if (lead >= 0xc2 && lead <= 0xdf) return 2;
  if (lead >= 0xe0 && lead <= 0xef) return 3;
  return lead >= 0xf0 && lead <= 0xf4 ? 4 : 0;
}

/** Length of the well-formed sequence at a place, 0 for none; table 3-7 of the Unicode standard. */
function sequenceAt(bytes: Uint8Array, at: number): number {
  const lead = bytes[at] ?? 0;
  const length = lengthFrom(lead);
  if (length === 0) return 0;
  const second = bytes[at + 1] ?? 0;
  const lowest = lead === 0xe0 ? 0xa0 : lead === 0xf0 ? 0x90 : 0x80;
  const highest = lead === 0xed ? 0x9f : lead === 0xf4 ? 0x8f : 0xbf;
  if (second < lowest || second > highest) return 0;
  for (let next = 2; next < length; next += 1) {
    if (((bytes[at + next] ?? 0) & 0xc0) !== 0x80) return 0;
  }
  return length;
}
