import { isUtf8 } from "node:buffer";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { encodingOf, openBytes, weighBytes, wideEncodingOf } from "@/lib/import/table/encoding-evidence";

function weighed(bytes: Uint8Array) {
  const evidence = { multiByte: 0, invalid: 0, implausible: 0 };
  weighBytes(bytes, evidence);
  return evidence;
}

const latin = (text: string) => Buffer.from(text, "latin1");

describe("the encoding of a text without a mark", () => {
  it("finds bytes outside UTF-8 exactly where the system's own check finds the text not to be UTF-8", () => {
    const byte = fc.oneof(
      fc.integer({ min: 0, max: 255 }),
      fc.constantFrom(0x41, 0xc3, 0xa9, 0xe2, 0x82, 0xac, 0xed, 0xf0, 0x9f),
    );
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 12 }), fc.array(byte, { maxLength: 12 }), (any, likely) => {
        for (const bytes of [any, Uint8Array.from(likely)]) expect(weighed(bytes).invalid === 0).toBe(isUtf8(bytes));
      }),
      { numRuns: 2_000 },
    );
  });

  it("is Windows-1252 for one lone é, as a late one in a long file", () => {
    expect(encodingOf(weighed(latin("plain text, then caf\u00e9")))).toBe("windows-1252");
  });

  it("stays UTF-8 for a text with many characters of it and a few broken lines", () => {
    const bytes = Buffer.concat([Buffer.from("ä".repeat(100)), latin("\u00e9\n\u00fc\n")]);
    expect(encodingOf(weighed(bytes))).toBe("utf-8");
  });

  it("is never Windows-1252 for bytes of all kinds, as a picture has them", () => {
    expect(
      encodingOf(weighed(Uint8Array.from({ length: 10_000 }, (_, index) => (index * 97 + (index >> 3)) % 256))),
    ).toBe("utf-8");
  });

  it("keeps the beginning of a character for the next piece, wherever the piece ends", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", maxLength: 20 }), fc.nat(40), (text, at) => {
        const bytes = Buffer.from(text);
        const piece = bytes.subarray(0, Math.min(at, bytes.length));
        expect(isUtf8(piece.subarray(0, piece.length - openBytes(piece)))).toBe(true);
      }),
    );
  });

  it("is UTF-16 where the zero bytes of plain letters stand, and nothing is told by a text without them", () => {
    const wide = Buffer.from("detector;läuft\n1;2\n", "utf16le");
    expect(wideEncodingOf(wide)).toBe("utf-16le");
    expect(wideEncodingOf(Buffer.from(wide).swap16())).toBe("utf-16be");
    expect(wideEncodingOf(Buffer.from("detector;läuft\n1;2\n"))).toBeNull();
    expect(wideEncodingOf(Buffer.alloc(100))).toBeNull();
  });
});
