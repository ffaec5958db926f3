import { readWholes, writeWholes } from "@/db/rice-code";
import { ByteReader, ByteWriter, checksumOf } from "@/db/varint";
import type { ReadingSeries } from "@/lib/records/reading";

/**
 * The bytes of a chunk of readings.
 *
 * Times are whole milliseconds, strictly rising, coded as the change of their step, runs of an equal step counted, or,
 * when they are not regular, as packed steps.
 * Each value column is lossless: it is kept as whole multiples of the coarsest of 1, 0.1 ... 0.000001 that gives back
 * every value exactly, packed with as few bits as its noise needs; a column with a finer value is kept as raw 64-bit
 * floats. Absent values (NaN) are counted in runs of present and absent. -0 is kept as 0.
 */
export function encodeSeries(series: ReadingSeries): Coded {
  const writer = new ByteWriter(256 + series.readAt.length * 4);
  writer.byte(FORMAT);
  writeChunkTimes(writer, series.readAt);
  for (const column of columns) {
    if (series[column].length !== series.readAt.length)
      throw new RangeError(`${column} has another length than readAt`);
    writeColumn(writer, series[column]);
  }
  const bytes = writer.done();
  return { bytes, checksum: checksumOf(bytes) };
}

/** The readings of a chunk; throws Error when the bytes are damaged or of an unknown form. */
export function decodeSeries({ bytes, checksum }: Coded): ReadingSeries {
  if (checksumOf(bytes) !== checksum) throw new Error("damaged readings: the checksum does not fit");
  const reader = new ByteReader(bytes);
  const form = formOf(reader);
  const readAt = form === FORMAT ? readChunkTimes(reader) : readTimes(reader);
  const count = readAt.length;
  const signalPct = readColumn(reader, { count, form });
  const compensationPct = readColumn(reader, { count, form });
  const temperatureC = readColumn(reader, { count, form });
  reader.end();
  return { readAt, signalPct, compensationPct, temperatureC };
}

/** The times alone of a chunk; throws Error when the bytes are damaged or of an unknown form. */
export function decodeSeriesTimes({ bytes, checksum }: Coded): Float64Array {
  if (checksumOf(bytes) !== checksum) throw new Error("damaged readings: the checksum does not fit");
  const reader = new ByteReader(bytes);
  return formOf(reader) === FORMAT ? readChunkTimes(reader) : readTimes(reader);
}

/** The bytes of a set of strictly rising times: the changes of their step, runs of an equal step counted. */
export function encodeTimes(times: Float64Array): Uint8Array {
  requireRising(times);
  const writer = new ByteWriter();
  writeTimes(writer, times);
  return writer.done();
}

/** The times of {@link encodeTimes}; throws Error when the bytes are damaged. */
export function decodeTimes(bytes: Uint8Array): Float64Array {
  const reader = new ByteReader(bytes);
  const times = readTimes(reader);
  reader.end();
  return times;
}

/** Bytes and their checksum. */
export type Coded = { readonly bytes: Uint8Array; readonly checksum: number };

/** The form that is written; the first one, of differences as varints, is still read. */
const FORMAT = 2;
const FIRST_FORMAT = 1;
const columns = ["signalPct", "compensationPct", "temperatureC"] as const;
const scales = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000];
const RAW = 15;
const HAS_GAPS = 16;
const MAX_COUNT = 50_000_000;

function formOf(reader: ByteReader): number {
  const form = reader.byte();
  if (form !== FORMAT && form !== FIRST_FORMAT) throw new Error("damaged readings: unknown form of bytes");
  return form;
}

function writeTimes(writer: ByteWriter, times: Float64Array): void {
  writer.varint(times.length);
  let before = 0;
  let step = 0;
  let equalSteps = 0;
  for (let index = 0; index < times.length; index += 1) {
    const at = times[index] ?? 0;
    const change = at - before - step;
    if (change === 0) equalSteps += 1;
    else {
      writeEqualSteps(writer, equalSteps);
      equalSteps = 0;
      writer.signed(change);
    }
    step = at - before;
    before = at;
  }
  writeEqualSteps(writer, equalSteps);
}

function writeEqualSteps(writer: ByteWriter, count: number): void {
  if (count === 0) return;
  writer.signed(0);
  writer.varint(count);
}

function requireRising(times: Float64Array): void {
  let before = -Number.MAX_SAFE_INTEGER - 1;
  for (let index = 0; index < times.length; index += 1) {
    const at = times[index] ?? 0;
    if (!(at > before)) throw new RangeError(`times must rise, none being absent: ${at} after ${before}`);
    before = at;
  }
  if (before > Number.MAX_SAFE_INTEGER) throw new RangeError(`not a time in whole milliseconds: ${before}`);
  // In a loop of its own: both together are many times slower than one after the other.
  for (let index = 0; index < times.length; index += 1) {
    const at = times[index] ?? 0;
    if (Math.floor(at) !== at) throw new RangeError(`not a time in whole milliseconds: ${at}`);
  }
}

function readTimes(reader: ByteReader): Float64Array {
  const count = reader.varint();
  if (count > MAX_COUNT) throw new Error("damaged readings: an impossible count");
  const times = new Float64Array(count);
  let at = 0;
  let step = 0;
  for (let index = 0; index < count; ) {
    const change = reader.signed();
    step += change;
    const repeats = change === 0 ? reader.varint() : 1;
    if (repeats === 0 || index + repeats > count) throw new Error("damaged readings: an impossible count");
    if (step <= 0 && (index > 0 || repeats > 1)) throw new Error("damaged readings: times do not rise");
    for (const end = index + repeats; index < end; index += 1) {
      at += step;
      times[index] = at;
    }
  }
  return times;
}

/**
 * Times in the coarsest of seconds and milliseconds that keeps them: as changes of their step when it seldom changes,
 * else as packed steps.
 */
function writeChunkTimes(writer: ByteWriter, times: Float64Array): void {
  requireRising(times);
  const count = times.length;
  const steps = new Float64Array(count);
  let before = 0;
  let changes = 0;
  let inSeconds = true;
  for (let index = 0; index < count; index += 1) {
    const at = times[index] ?? 0;
    steps[index] = at - before;
    before = at;
    // Not by the remainder, which is slow for numbers of this size.
    inSeconds &&= Math.round(at / 1000) * 1000 === at;
    if (index > 1 && steps[index] !== steps[index - 1]) changes += 1;
  }
  const packed = changes * 4 > count;
  const unit = inSeconds ? 1000 : 1;
  writer.byte((packed ? PACKED_TIMES : 0) + (inSeconds ? SECONDS : 0));
  const written = packed ? steps : times.slice();
  for (let index = 0; index < count; index += 1) written[index] = (written[index] ?? 0) / unit;
  if (!packed) {
    writeTimes(writer, written);
    return;
  }
  writer.varint(count);
  writeWholes(writer, written);
}

function readChunkTimes(reader: ByteReader): Float64Array {
  const head = reader.byte();
  if (head > PACKED_TIMES + SECONDS) throw new Error("damaged readings: unknown form of the times");
  const unit = head & SECONDS ? 1000 : 1;
  let times: Float64Array;
  if (head & PACKED_TIMES) {
    const count = reader.varint();
    if (count > MAX_COUNT) throw new Error("damaged readings: an impossible count");
    times = new Float64Array(count);
    readWholes(reader, times, 1);
    for (let index = 1; index < count; index += 1) {
      if ((times[index] ?? 0) <= 0) throw new Error("damaged readings: times do not rise");
      times[index] = (times[index] ?? 0) + (times[index - 1] ?? 0);
    }
  } else times = readTimes(reader);
  if (unit !== 1) for (let index = 0; index < times.length; index += 1) times[index] = (times[index] ?? 0) * unit;
  return times;
}

const SECONDS = 1;
const PACKED_TIMES = 2;

function writeColumn(writer: ByteWriter, values: Float64Array): void {
  const gaps = hasAbsent(values);
  const present = gaps ? values.filter((value) => !Number.isNaN(value)) : values;
  const wholes = new Float64Array(present.length);
  const found = scales.findIndex((scale) => scaledInto(wholes, present, scale));
  const mode = found === -1 ? RAW : found;
  writer.byte(mode + (gaps ? HAS_GAPS : 0));
  if (gaps) writeGaps(writer, values);
  if (mode === RAW) writer.raw(new Uint8Array(present.buffer, present.byteOffset, present.byteLength));
  else writeWholes(writer, wholes);
}

function readColumn(reader: ByteReader, { count, form }: { count: number; form: number }): Float64Array {
  const head = reader.byte();
  const mode = head & 15;
  const presentAt = head & HAS_GAPS ? readGaps(reader, count) : null;
  const present = readPresent(reader, { count: presentAt ? presentAt.length : count, mode, form });
  if (!presentAt) return present;
  const values = new Float64Array(count).fill(Number.NaN);
  for (let index = 0; index < present.length; index += 1) values[presentAt[index] ?? 0] = present[index] ?? 0;
  return values;
}

function readPresent(
  reader: ByteReader,
  { count, mode, form }: { count: number; mode: number; form: number },
): Float64Array {
  if (mode === RAW) return new Float64Array(new Uint8Array(reader.raw(count * 8)).buffer);
  const scale = scales[mode];
  if (scale === undefined) throw new Error("damaged readings: unknown form of a column");
  const values = new Float64Array(count);
  if (form === FORMAT) {
    readWholes(reader, values, scale);
    return values;
  }
  let whole = 0;
  for (let index = 0; index < count; index += 1) {
    whole += reader.signed();
    values[index] = whole / scale;
  }
  return values;
}

function hasAbsent(values: Float64Array): boolean {
  for (let index = 0; index < values.length; index += 1) if (Number.isNaN(values[index])) return true;
  return false;
}

/** Fills `wholes` with the values times `scale`; false when that does not keep each of them exactly. */
function scaledInto(wholes: Float64Array, values: Float64Array, scale: number): boolean {
  for (let index = 0; index < values.length; index += 1) {
    const value = values[index] ?? 0;
    const whole = Math.round(value * scale);
    // Differences of two such numbers, doubled by the zigzag, must still be exact.
    if (!(Math.abs(whole) < 2 ** 50) || whole / scale !== value) return false;
    wholes[index] = whole;
  }
  return true;
}

function writeGaps(writer: ByteWriter, values: Float64Array): void {
  let present = true;
  let run = 0;
  for (const value of values) {
    if (!Number.isNaN(value) !== present) {
      writer.varint(run);
      present = !present;
      run = 0;
    }
    run += 1;
  }
  writer.varint(run);
}

function readGaps(reader: ByteReader, count: number): Uint32Array {
  const presentAt = new Uint32Array(count);
  let found = 0;
  let index = 0;
  for (let present = true; index < count; present = !present) {
    const run = reader.varint();
    if (index + run > count || (run === 0 && index > 0)) throw new Error("damaged readings: an impossible count");
    for (let repeat = 0; present && repeat < run; repeat += 1, found += 1) presentAt[found] = index + repeat;
    index += run;
  }
  return presentAt.subarray(0, found);
}
