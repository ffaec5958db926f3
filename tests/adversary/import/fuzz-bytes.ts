import { gzipSync } from "node:zlib";
import type { Chance } from "@/lib/kernel/chance";
import { below, pick } from "./fuzz-cells";

/** Pieces that have broken parsers before. */
const nasty = [
  "\u0000",
  '"',
  '""',
  "'",
  ",",
  ";",
  "\t",
  "|",
  "\r",
  "\n",
  "\r\n\r\n",
  "\ufeff",
  "\ufffe",
  "\u2028",
  "\u0085",
  "\u202e",
  "=cmd|'/c calc'!A0",
  "-0",
  "1e999",
  "NaN",
  "{",
  "}",
  "[[[[[[[[",
  '{"a":',
  "\\u0000",
  "\\",
  "%s%n",
  "PK\u0003\u0004",
  "9".repeat(400),
  "2025-02-29T00:00:00Z",
  "detector_id,read_at,signal_pct\n",
].map((text) => Buffer.from(text, "utf8"));

const brokenBytes = [
  [0xff],
  [0xc3],
  [0xed, 0xa0, 0x80],
  [0xf4, 0x90, 0x80, 0x80],
  [0x1f, 0x8b],
  [0xff, 0xfe],
  [0x80],
].map((bytes) => Buffer.from(bytes));

/** Bytes that begin as a good file and were damaged, or that are noise from the start. */
export function mutated(good: Buffer, chance: Chance): Buffer {
  if (chance() < 0.1) return noise(chance);
  let bytes = good;
  for (let times = 1 + below(chance, 4); times > 0; times -= 1) bytes = mutateOnce(bytes, chance);
  if (chance() < 0.05) bytes = damagedPack(bytes, chance);
  return bytes;
}

function mutateOnce(bytes: Buffer, chance: Chance): Buffer {
  const at = below(chance, bytes.length + 1);
  const until = Math.min(bytes.length, at + 1 + below(chance, 40));
  const before = bytes.subarray(0, at);
  const rest = bytes.subarray(at);
  switch (pick(chance, ["flip", "cut", "insert", "drop", "repeat", "broken", "splice"])) {
    case "flip": {
      const copy = Buffer.from(bytes);
      if (at < copy.length) copy[at] = (copy[at] ?? 0) ^ (1 << below(chance, 8));
      return copy;
    }
    case "cut":
      return before;
    case "insert":
      return Buffer.concat([before, nasty[below(chance, nasty.length)] ?? before, rest]);
    case "drop":
      return Buffer.concat([before, bytes.subarray(until)]);
    case "repeat":
      return Buffer.concat([
        before,
        ...Array.from({ length: 1 + below(chance, 20) }, () => bytes.subarray(at, until)),
        rest,
      ]);
    case "broken":
      return Buffer.concat([before, brokenBytes[below(chance, brokenBytes.length)] ?? before, rest]);
    case "splice":
      return Buffer.concat([rest, before]);
  }
}

function noise(chance: Chance): Buffer {
  const length = below(chance, 400);
  const letters = pick(chance, [256, 128, 4]);
  const alphabet = Buffer.from('",\n;');
  const bytes = Buffer.alloc(length);
  for (let index = 0; index < length; index += 1) {
    const drawn = below(chance, letters);
    bytes[index] = letters === 4 ? (alphabet[drawn] ?? 0) : drawn;
  }
  return bytes;
}

function damagedPack(bytes: Buffer, chance: Chance): Buffer {
  const packed = Buffer.from(gzipSync(bytes, { level: 1 }));
  if (chance() < 0.5) return packed.subarray(0, below(chance, packed.length));
  const at = below(chance, packed.length);
  packed[at] = (packed[at] ?? 0) ^ (1 << below(chance, 8));
  return packed;
}
