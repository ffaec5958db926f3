import { type Coded, decodeSeries, encodeSeries } from "@/db/readings-codec";
import { ByteReader, ByteWriter, checksumOf } from "@/db/varint";
import { countBelow } from "@/lib/kernel/sorted";
import { DAY_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";

/** Readings drawn together by UTC day, columns of equal length, oldest first; NaN marks an absent value. */
export type ReadingDays = {
  /** Instants at which the days begin. */
  readonly startAt: Float64Array;
  /** In hundredths of a percent. */
  readonly medianSignalPct: Float64Array;
  readonly minSignalPct: Float64Array;
  readonly maxSignalPct: Float64Array;
  /** The last compensation read on the day. */
  readonly compensationPct: Float64Array;
  /** Mean of the day's temperatures, in tenths of a degree. */
  readonly temperatureC: Float64Array;
};

/** The days of a series; empty for a series without readings. */
export function daysOf(series: ReadingSeries): ReadingDays {
  const starts: number[] = [];
  let endAt = -Infinity;
  for (let index = 0; index < series.readAt.length; index += 1) {
    const at = series.readAt[index] ?? 0;
    if (at < endAt) continue;
    starts.push(index);
    endAt = (dayOf(at) + 1) * DAY_MS;
  }
  const days = emptyDays(starts.length);
  for (const [day, from] of starts.entries()) {
    const to = starts[day + 1] ?? series.readAt.length;
    const signals = sorted(series.signalPct.slice(from, to));
    days.startAt[day] = dayOf(series.readAt[from] ?? 0) * DAY_MS;
    days.medianSignalPct[day] = rounded(medianOfSorted(signals), 100);
    days.minSignalPct[day] = signals[0] ?? Number.NaN;
    days.maxSignalPct[day] = signals[signals.length - 1] ?? Number.NaN;
    days.compensationPct[day] = lastPresent(series.compensationPct.subarray(from, to));
    days.temperatureC[day] = meanInTenths(series.temperatureC.subarray(from, to));
  }
  return days;
}

/** `stored` with the days from `from` up to `until` (Instants) put in the place of those it had there. */
export function replaceDays(
  stored: ReadingDays,
  { days, from, until }: { days: ReadingDays; from: number; until: number },
): ReadingDays {
  const before = countBelow(stored.startAt, from);
  const after = countBelow(stored.startAt, until);
  const join = (old: Float64Array, added: Float64Array) => {
    const tail = old.subarray(after);
    const joined = new Float64Array(before + added.length + tail.length);
    joined.set(old.subarray(0, before));
    joined.set(added, before);
    joined.set(tail, before + added.length);
    return joined;
  };
  return {
    startAt: join(stored.startAt, days.startAt),
    medianSignalPct: join(stored.medianSignalPct, days.medianSignalPct),
    minSignalPct: join(stored.minSignalPct, days.minSignalPct),
    maxSignalPct: join(stored.maxSignalPct, days.maxSignalPct),
    compensationPct: join(stored.compensationPct, days.compensationPct),
    temperatureC: join(stored.temperatureC, days.temperatureC),
  };
}

/** Whether so few readings a day are drawn together that the days are not stored: they would take about as many bytes. */
export function areFew(readings: number, days: number): boolean {
  return readings <= FEW_A_DAY * days;
}

const FEW_A_DAY = 4;

/** What is stored in the place of days that are drawn from the readings whenever they are read. */
export function noDays(): Coded {
  const none = new Uint8Array(0);
  return { bytes: none, checksum: checksumOf(none) };
}

/** Days as bytes. */
export function encodeDays(days: ReadingDays): Coded {
  const medians = encodeSeries({
    readAt: days.startAt,
    signalPct: days.medianSignalPct,
    compensationPct: days.compensationPct,
    temperatureC: days.temperatureC,
  });
  const nothing = new Float64Array(days.startAt.length).fill(Number.NaN);
  const ranges = encodeSeries({
    readAt: days.startAt,
    signalPct: days.minSignalPct,
    compensationPct: days.maxSignalPct,
    temperatureC: nothing,
  });
  const writer = new ByteWriter();
  for (const part of [medians, ranges]) {
    writer.varint(part.checksum);
    writer.varint(part.bytes.length);
    writer.raw(part.bytes);
  }
  const bytes = writer.done();
  return { bytes, checksum: checksumOf(bytes) };
}

/** The days of {@link encodeDays}; throws Error when the bytes are damaged. */
export function decodeDays({ bytes, checksum }: Coded): ReadingDays {
  if (checksumOf(bytes) !== checksum) throw new Error("damaged readings: the checksum of the days does not fit");
  const reader = new ByteReader(bytes);
  const part = () => decodeSeries({ checksum: reader.varint(), bytes: reader.raw(reader.varint()) });
  const medians = part();
  const ranges = part();
  reader.end();
  return {
    startAt: medians.readAt,
    medianSignalPct: medians.signalPct,
    minSignalPct: ranges.signalPct,
    maxSignalPct: ranges.compensationPct,
    compensationPct: medians.compensationPct,
    temperatureC: medians.temperatureC,
  };
}

/** `count` days without values. */
export function emptyDays(count = 0): ReadingDays {
  const column = () => new Float64Array(count);
  return {
    startAt: column(),
    medianSignalPct: column(),
    minSignalPct: column(),
    maxSignalPct: column(),
    compensationPct: column(),
    temperatureC: column(),
  };
}

/** The values sorted in place; by insertion, which is faster for the few of a day. */
function sorted(values: Float64Array): Float64Array {
  if (values.length > 64) return values.sort();
  for (let index = 1; index < values.length; index += 1) {
    const value = values[index] ?? 0;
    let at = index;
    for (; at > 0 && (values[at - 1] ?? 0) > value; at -= 1) values[at] = values[at - 1] ?? 0;
    values[at] = value;
  }
  return values;
}

function dayOf(at: number): number {
  return Math.floor(at / DAY_MS);
}

function medianOfSorted(values: Float64Array): number {
  const middle = values.length >> 1;
  const upper = values[middle] ?? Number.NaN;
  return values.length % 2 === 1 ? upper : ((values[middle - 1] ?? Number.NaN) + upper) / 2;
}

function lastPresent(values: Float64Array): number {
  for (let index = values.length - 1; index >= 0; index -= 1) {
    const value = values[index] ?? Number.NaN;
    if (!Number.isNaN(value)) return value;
  }
  return Number.NaN;
}

function meanInTenths(values: Float64Array): number {
  let sum = 0;
  let count = 0;
  for (const value of values) {
    if (Number.isNaN(value)) continue;
    sum += value;
    count += 1;
  }
  return count === 0 ? Number.NaN : rounded(sum / count, 10);
}

function rounded(value: number, scale: number): number {
  return Math.round(value * scale) / scale;
}
