import { type ByteReader, type ByteWriter, RICE_ESCAPE } from "@/db/varint";

/** Numbers that share the choices of their code. */
const BLOCK = 128;
/** Most bits of a number that are written as they are. */
const MAX_LOW_BITS = 20;
/** Beyond it a block is written as varints. */
const LARGEST_FOLDED = 2 ** 31;
const ALL_ALIKE = 30;
const AS_VARINTS = 31;
const STEPS = 32;

/**
 * Writes whole numbers in blocks of 128 by Rice's code, which takes about as many bits as their noise needs.
 *
 * A block holds its numbers either as distances from their mean, which suits noise around a level, or as steps from one
 * to the next, which suits slow change; whichever takes fewer bits. Distances are folded to whole numbers >= 0 (zigzag).
 * A block begins with a byte: how many low bits are written as they are, and whether they are steps.
 * Source: R. F. Rice and J. R. Plaunt, Adaptive variable-length coding, IEEE Trans. Commun. 19 (1971) 889-897 (from
 * memory).
 */
export function writeWholes(writer: ByteWriter, wholes: Float64Array): void {
  let before = 0;
  for (let from = 0; from < wholes.length; from += BLOCK) {
    const block = wholes.subarray(from, from + BLOCK);
    writeBlock(writer, block, before);
    before = block[block.length - 1] ?? 0;
  }
}

const levels = new Float64Array(BLOCK);
const steps = new Float64Array(BLOCK);
const folded = new Int32Array(BLOCK);

function writeBlock(writer: ByteWriter, block: Float64Array, before: number): void {
  const count = block.length;
  let sum = 0;
  for (let index = 0; index < count; index += 1) sum += block[index] ?? 0;
  const level = Math.round(sum / count);
  let last = before;
  let largest = 0;
  let largestLevel = 0;
  for (let index = 0; index < count; index += 1) {
    const whole = block[index] ?? 0;
    const fromLevel = fold(whole - level);
    const step = fold(whole - last);
    levels[index] = fromLevel;
    steps[index] = step;
    if (fromLevel > largestLevel) largestLevel = fromLevel;
    if (step > largest) largest = step;
    last = whole;
  }
  if (largestLevel === 0) {
    writer.byte(ALL_ALIKE);
    writer.signed(level - before);
    return;
  }
  const ofLevels = codeFor(levels, { count, largest: largestLevel });
  const ofSteps = codeFor(steps, { count, largest });
  if (Math.min(ofLevels.bits, ofSteps.bits) === Infinity) {
    writer.byte(AS_VARINTS);
    for (let index = 0; index < count; index += 1) writer.signed((block[index] ?? 0) - (block[index - 1] ?? before));
    return;
  }
  const stepwise = ofSteps.bits <= ofLevels.bits;
  const { lowBits } = stepwise ? ofSteps : ofLevels;
  writer.byte(lowBits + (stepwise ? STEPS : 0));
  if (!stepwise) writer.signed(level - before);
  const chosen = stepwise ? steps : levels;
  for (let index = 0; index < count; index += 1) folded[index] = chosen[index] ?? 0;
  writer.rice(folded, { count, lowBits });
}

/** The count of low bits with which the numbers take the fewest bits; Infinity when one is too large for the code. */
function codeFor(
  numbers: Float64Array,
  { count, largest }: { count: number; largest: number },
): { lowBits: number; bits: number } {
  if (largest >= LARGEST_FOLDED) return { lowBits: 0, bits: Infinity };
  let sum = 0;
  for (let index = 0; index < count; index += 1) sum += numbers[index] ?? 0;
  const guess = Math.max(0, Math.min(MAX_LOW_BITS, 31 - Math.clz32(Math.floor((sum / count) * 0.7))));
  // A few far outliers make the mean too large a guide, so the search goes down from it.
  let best = { lowBits: 0, bits: Infinity };
  for (let lowBits = Math.min(MAX_LOW_BITS, guess + 1); lowBits >= 0; lowBits -= 1) {
    let bits = count * (lowBits + 1);
    for (let index = 0; index < count; index += 1) {
      const high = (numbers[index] ?? 0) >>> lowBits;
      bits += high < RICE_ESCAPE ? high : RICE_ESCAPE + 31 - lowBits;
    }
    if (bits >= best.bits) break;
    best = { lowBits, bits };
  }
  return best;
}

/** Reads `values.length` numbers of {@link writeWholes}, each divided by `scale`; throws Error when the bytes are damaged. */
export function readWholes(reader: ByteReader, values: Float64Array, scale: number): void {
  let before = 0;
  for (let from = 0; from < values.length; from += BLOCK) {
    const count = Math.min(BLOCK, values.length - from);
    const head = reader.byte();
    if (head === ALL_ALIKE) {
      before += reader.signed();
      values.fill(before / scale, from, from + count);
    } else if (head === AS_VARINTS) {
      for (let index = 0; index < count; index += 1) {
        before += reader.signed();
        values[from + index] = before / scale;
      }
    } else before = readBlock(reader, values, { from, count, head, before, scale });
  }
}

function readBlock(
  reader: ByteReader,
  values: Float64Array,
  { from, count, head, before, scale }: { from: number; count: number; head: number; before: number; scale: number },
): number {
  const lowBits = head & (STEPS - 1);
  if (lowBits > MAX_LOW_BITS || head >= 2 * STEPS) throw new Error("damaged readings: unknown form of a block");
  const stepwise = head >= STEPS;
  let level = stepwise ? before : before + reader.signed();
  reader.rice(folded, { count, lowBits });
  let whole = before;
  for (let index = 0; index < count; index += 1) {
    const number = folded[index] ?? 0;
    whole = level + ((number >>> 1) ^ -(number & 1));
    values[from + index] = whole / scale;
    if (stepwise) level = whole;
  }
  return whole;
}

/** 0, -1, 1, -2 become 0, 1, 2, 3. */
function fold(value: number): number {
  return value >= 0 ? value * 2 : -value * 2 - 1;
}
