import { ByteReader, ByteWriter, checksumOf } from "@/db/varint";
import type { ReadingSeries } from "@/lib/records/reading";

/**
 * The bytes of a chunk of readings.
 *
 * Times are whole milliseconds, strictly rising, coded as the change of their step, runs of an equal step counted.
 * Each value column is lossless: it is kept as whole multiples of the coarsest of 1, 0.1 ... 0.000001 that gives back
 * every value exactly, coded as differences; a column with a finer value is kept as raw 64-bit floats. Absent values
 * (NaN) are counted in runs of present and absent. -0 is kept as 0.
 */
export function encodeSeries(series: ReadingSeries): Coded {
  const writer = new ByteWriter();
  writer.byte(FORMAT);
  writeTimes(writer, series.readAt);
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
  if (reader.byte() !== FORMAT) throw new Error("damaged readings: unknown form of bytes");
  const readAt = readTimes(reader);
  const signalPct = readColumn(reader, readAt.length);
  const compensationPct = readColumn(reader, readAt.length);
  const temperatureC = readColumn(reader, readAt.length);
  reader.end();
  return { readAt, signalPct, compensationPct, temperatureC };
}

/** The bytes of a set of strictly rising times, as {@link encodeSeries} codes them. */
export function encodeTimes(times: Float64Array): Uint8Array {
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

const FORMAT = 1;
const columns = ["signalPct", "compensationPct", "temperatureC"] as const;
const scales = [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000];
const RAW = 15;
const HAS_GAPS = 16;
const MAX_COUNT = 50_000_000;

function writeTimes(writer: ByteWriter, times: Float64Array): void {
  writer.varint(times.length);
  let before = 0;
  let step = 0;
  let equalSteps = 0;
  const flush = () => {
    if (equalSteps === 0) return;
    writer.signed(0);
    writer.varint(equalSteps);
    equalSteps = 0;
  };
  for (const [index, at] of times.entries()) {
    if (!Number.isSafeInteger(at)) throw new RangeError(`not a time in whole milliseconds: ${at}`);
    if (index > 0 && at <= before) throw new RangeError(`times must rise: ${at} after ${before}`);
    const change = at - before - step;
    if (change === 0) equalSteps += 1;
    else {
      flush();
      writer.signed(change);
    }
    step = at - before;
    before = at;
  }
  flush();
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
    for (let repeat = 0; repeat < repeats; repeat += 1) {
      at += step;
      if (index > 0 && step <= 0) throw new Error("damaged readings: times do not rise");
      times[index] = at;
      index += 1;
    }
  }
  return times;
}

function writeColumn(writer: ByteWriter, values: Float64Array): void {
  const present = values.filter((value) => !Number.isNaN(value));
  const scaleIndex = scales.findIndex((scale) => present.every((value) => fits(value, scale)));
  const mode = scaleIndex === -1 ? RAW : scaleIndex;
  const hasGaps = present.length < values.length;
  writer.byte(mode + (hasGaps ? HAS_GAPS : 0));
  if (hasGaps) writeGaps(writer, values);
  if (mode === RAW) {
    writer.raw(new Uint8Array(present.buffer, present.byteOffset, present.byteLength));
    return;
  }
  const scale = scales[mode] ?? 1;
  let before = 0;
  for (const value of present) {
    const whole = Math.round(value * scale);
    writer.signed(whole - before);
    before = whole;
  }
}

function readColumn(reader: ByteReader, count: number): Float64Array {
  const head = reader.byte();
  const mode = head & 15;
  const values = new Float64Array(count);
  const presentAt = head & HAS_GAPS ? readGaps(reader, count) : null;
  const present = presentAt ? presentAt.length : count;
  if (presentAt) values.fill(Number.NaN);
  const scale = scales[mode];
  const floats = mode === RAW ? new Float64Array(new Uint8Array(reader.raw(present * 8)).buffer) : null;
  if (!floats && scale === undefined) throw new Error("damaged readings: unknown form of a column");
  let whole = 0;
  for (let index = 0; index < present; index += 1) {
    if (!floats) whole += reader.signed();
    values[presentAt ? (presentAt[index] ?? 0) : index] = floats ? (floats[index] ?? 0) : whole / (scale ?? 1);
  }
  return values;
}

function fits(value: number, scale: number): boolean {
  const whole = Math.round(value * scale);
  // Differences of two such numbers, doubled by the zigzag, must still be exact.
  return Math.abs(whole) < 2 ** 50 && whole / scale === value;
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
