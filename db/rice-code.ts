import { type ByteReader, type ByteWriter, RICE_ESCAPE } from "@/db/varint";

/** Numbers that share the choices of their code. */
const BLOCK = 128;
/** Most bits of a number that are written as they are. */
const MAX_LOW_BITS = 20;
/** Numbers that lie as far apart are written as varints. */
const WIDEST = 2 ** 29;
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

const distances = new Int32Array(BLOCK);
const steps = new Int32Array(BLOCK);

function writeBlock(writer: ByteWriter, block: Float64Array, before: number): void {
  const count = block.length;
  let sum = 0;
  let lowest = before;
  let highest = before;
  let alike = true;
  for (let index = 0; index < count; index += 1) {
    const whole = block[index] ?? 0;
    sum += whole;
    if (whole < lowest) lowest = whole;
    if (whole > highest) highest = whole;
    alike &&= whole === block[0];
  }
  if (alike) {
    writer.byte(ALL_ALIKE);
    writer.signed((block[0] ?? 0) - before);
    return;
  }
  const first = block[0] ?? 0;
  const farFromBefore = highest - lowest >= WIDEST;
  // The first block of a column begins far from 0; its numbers are then reckoned from its first one.
  const level = Math.round(sum / count);
  if (farFromBefore && widest(block) >= WIDEST) {
    writer.byte(AS_VARINTS);
    for (let index = 0; index < count; index += 1) writer.signed((block[index] ?? 0) - (block[index - 1] ?? before));
    return;
  }
  const sums = foldInto(block, { level, before: farFromBefore ? first : before });
  const stepwise = !farFromBefore && sums.steps <= sums.distances;
  const numbers = stepwise ? steps : distances;
  const lowBits = lowBitsFor(numbers, { count, sum: stepwise ? sums.steps : sums.distances });
  writer.byte(lowBits + (stepwise ? STEPS : 0));
  if (!stepwise) writer.signed(level - before);
  writer.rice(numbers, { count, lowBits });
}

function widest(block: Float64Array): number {
  let lowest = Infinity;
  let highest = -Infinity;
  for (let index = 0; index < block.length; index += 1) {
    const whole = block[index] ?? 0;
    if (whole < lowest) lowest = whole;
    if (whole > highest) highest = whole;
  }
  return highest - lowest;
}

/** Folds the distances from the level and the steps, 0, -1, 1, -2 becoming 0, 1, 2, 3; the sums of what came out. */
function foldInto(
  block: Float64Array,
  { level, before }: { level: number; before: number },
): { distances: number; steps: number } {
  let last = (before - level) | 0;
  let ofDistances = 0;
  let ofSteps = 0;
  for (let index = 0; index < block.length; index += 1) {
    const distance = ((block[index] ?? 0) - level) | 0;
    const step = (distance - last) | 0;
    last = distance;
    const foldedDistance = (distance << 1) ^ (distance >> 31);
    const foldedStep = (step << 1) ^ (step >> 31);
    distances[index] = foldedDistance;
    steps[index] = foldedStep;
    ofDistances += foldedDistance;
    ofSteps += foldedStep;
  }
  return { distances: ofDistances, steps: ofSteps };
}

/** The count of low bits with which the numbers take the fewest bits. */
function lowBitsFor(numbers: Int32Array, { count, sum }: { count: number; sum: number }): number {
  const guess = Math.max(0, Math.min(MAX_LOW_BITS - 1, 31 - Math.clz32((sum / count) * 0.7)));
  // A few far outliers make the mean too large a guide, so the search goes down from it.
  let fewest = Infinity;
  for (let lowBits = guess + 1; lowBits >= 0; lowBits -= 1) {
    let bits = count * (lowBits + 1);
    for (let index = 0; index < count; index += 1) {
      const high = (numbers[index] ?? 0) >>> lowBits;
      bits += high < RICE_ESCAPE ? high : RICE_ESCAPE + 31 - lowBits;
    }
    if (bits >= fewest) return lowBits + 1;
    fewest = bits;
  }
  return 0;
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
  const folded = distances;
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
