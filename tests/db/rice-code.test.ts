import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readWholes, writeWholes } from "@/db/rice-code";
import { ByteReader, ByteWriter } from "@/db/varint";

function bytesOf(wholes: Float64Array): Uint8Array {
  const writer = new ByteWriter();
  writeWholes(writer, wholes);
  return writer.done();
}

function back(bytes: Uint8Array, count: number): Float64Array {
  const values = new Float64Array(count);
  const reader = new ByteReader(bytes);
  readWholes(reader, values, 1);
  reader.end();
  return values;
}

const small = fc.integer({ min: -3, max: 3 });
const noise = fc.integer({ min: -400, max: 400 });
const wide = fc.integer({ min: -(2 ** 34), max: 2 ** 34 });
const huge = fc.integer({ min: -(2 ** 49), max: 2 ** 49 });

describe("Rice's code", () => {
  it("gives back every whole number, whatever their spread, with outliers, over the ends of blocks", () => {
    const numbers = fc.oneof(
      fc.array(small, { maxLength: 400 }),
      fc.array(noise, { maxLength: 400 }),
      fc.array(fc.oneof({ weight: 30, arbitrary: noise }, wide), { maxLength: 300 }),
      fc.array(fc.oneof({ weight: 60, arbitrary: small }, huge), { maxLength: 300 }),
      fc.tuple(huge, fc.integer({ min: 0, max: 300 })).map(([value, count]) => new Array<number>(count).fill(value)),
    );
    fc.assert(
      fc.property(numbers, (list) => {
        const wholes = Float64Array.from(list);
        expect([...back(bytesOf(wholes), wholes.length)]).toEqual([...wholes].map((value) => value + 0));
      }),
      { numRuns: 500 },
    );
  });

  it("gives back numbers at the edges of what a block may hold", () => {
    for (const edge of [2 ** 20, 2 ** 21, 2 ** 29, 2 ** 30 - 1, 2 ** 30, 2 ** 31, 2 ** 32]) {
      for (const step of [-1, 0, 1]) {
        const wholes = Float64Array.from([0, edge + step, 0, -edge - step, 1, 0]);
        expect([...back(bytesOf(wholes), wholes.length)]).toEqual([...wholes]);
      }
    }
  });

  it("takes about the bits that noise has: at most 0.4 more than its entropy", () => {
    // Sums of 12 uniform numbers: nearly Gaussian, sd 25, entropy log2(25 sqrt(2 pi e)) = 6.69 bits.
    let state = 1;
    const uniform = () => {
      state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
      return state / 2 ** 32;
    };
    const gauss = () => Array.from({ length: 12 }, uniform).reduce((sum, value) => sum + value, -6);
    const wholes = Float64Array.from({ length: 12_800 }, () => Math.round(9_700 + 25 * gauss()));
    expect((bytesOf(wholes).length * 8) / wholes.length).toBeLessThan(6.69 + 0.4);
  });

  it("refuses bytes that end too early and never reads past a flaw without saying so or ending", () => {
    const bytes = bytesOf(Float64Array.from({ length: 200 }, (_, index) => (index * index) % 97));
    for (let length = 0; length < bytes.length; length += 1) {
      expect(() => back(bytes.subarray(0, length), 200)).toThrow(/damaged readings/);
    }
  });
});
