import type { SentReadings } from "@/db/reading-merge";
import { quarterOf, startOfQuarter } from "@/db/reading-store";
import type { Reading } from "@/lib/records/reading";
import { emptyRows, type ReadingRows } from "@/lib/records/reading-rows";

/** What was gathered of one detector: its readings by time, cut into quarters. */
export type GatheredDetector = {
  readonly detectorKey: number;
  readonly quarters: Iterable<{ readonly quarter: number; readonly sent: SentReadings }>;
};

/** Readings of any detectors in the order they were sent, in columns that grow to a fixed size, so that memory stays flat. */
export class GatheredReadings {
  private gathered: ReadingRows | null = null;

  constructor(private readonly capacity: number) {}

  /** Adds a reading; true when there is room for no more. */
  add(detectorKey: number, reading: Reading, line: number): boolean {
    const { gathered } = this.room(1);
    const index = gathered.length;
    gathered.detectorKey[index] = detectorKey;
    gathered.readAt[index] = reading.readAt;
    gathered.signalPct[index] = reading.signalPct;
    gathered.compensationPct[index] = reading.compensationPct ?? Number.NaN;
    gathered.temperatureC[index] = reading.temperatureC ?? Number.NaN;
    gathered.line[index] = line;
    gathered.length += 1;
    return this.isFull();
  }

  /** Whether there is room for no more; it must be taken before anything is added then. */
  isFull(): boolean {
    return this.gathered?.length === this.capacity;
  }

  /** Adds rows from the one at `from` on, as many as there is room for; how many. */
  addRows(rows: ReadingRows, from: number): number {
    const { gathered, left } = this.room(rows.length - from);
    const count = Math.min(left, rows.length - from);
    const at = gathered.length;
    const to = from + count;
    gathered.detectorKey.set(rows.detectorKey.subarray(from, to), at);
    gathered.readAt.set(rows.readAt.subarray(from, to), at);
    gathered.signalPct.set(rows.signalPct.subarray(from, to), at);
    gathered.compensationPct.set(rows.compensationPct.subarray(from, to), at);
    gathered.temperatureC.set(rows.temperatureC.subarray(from, to), at);
    gathered.line.set(rows.line.subarray(from, to), at);
    gathered.length += count;
    return count;
  }

  /** All that was gathered, detector by detector; the gathering begins anew when it is taken to the end. */
  *take(): Generator<GatheredDetector> {
    const { gathered } = this;
    if (!gathered) return;
    const keys = gathered.detectorKey.subarray(0, gathered.length);
    const { order, parts } = placesByDetector(keys);
    for (const { key, from, to } of parts) {
      const sent = order ? picked(gathered, order.subarray(from, to)) : partOf(gathered, from, to);
      yield { detectorKey: key, quarters: quartersOf(inTime(sent)) };
    }
    gathered.length = 0;
  }

  /** The columns, grown where they have no room for `wanted` more, but never past the capacity. */
  private room(wanted: number): { gathered: ReadingRows; left: number } {
    if (this.isFull()) throw new RangeError(`no room for more than ${this.capacity} readings`);
    // Made with the first reading, and small: most files have none or few.
    let gathered = this.gathered ?? emptyRows(Math.min(FIRST_ROOM, this.capacity));
    const needed = Math.min(gathered.length + wanted, this.capacity);
    for (let size = gathered.readAt.length; size < needed; ) {
      size = Math.min(size * 4, this.capacity);
      gathered = grown(gathered, size);
    }
    this.gathered = gathered;
    return { gathered, left: gathered.readAt.length - gathered.length };
  }
}

const FIRST_ROOM = 1_024;

function grown(rows: ReadingRows, capacity: number): ReadingRows {
  const wide = emptyRows(capacity);
  wide.length = rows.length;
  wide.detectorKey.set(rows.detectorKey);
  wide.readAt.set(rows.readAt);
  wide.signalPct.set(rows.signalPct);
  wide.compensationPct.set(rows.compensationPct);
  wide.temperatureC.set(rows.temperatureC);
  wide.line.set(rows.line);
  return wide;
}

type Part = { readonly key: number; readonly from: number; readonly to: number };

/**
 * Where the readings of each detector stand: as stretches of an order of places, in the order sent within each (a
 * counting sort), or, when each detector's stand together anyway, of the columns themselves.
 */
function placesByDetector(keys: Uint32Array): { order: Uint32Array | null; parts: Part[] } {
  let lowest = Infinity;
  let highest = 0;
  for (let index = 0; index < keys.length; index += 1) {
    const key = keys[index] ?? 0;
    if (key < lowest) lowest = key;
    if (key > highest) highest = key;
  }
  const counts = new Uint32Array(keys.length === 0 ? 0 : highest - lowest + 1);
  let runs = 0;
  let detectors = 0;
  for (let index = 0; index < keys.length; index += 1) {
    const at = (keys[index] ?? 0) - lowest;
    if (index === 0 || keys[index] !== keys[index - 1]) runs += 1;
    if (counts[at] === 0) detectors += 1;
    counts[at] = (counts[at] ?? 0) + 1;
  }
  if (runs === detectors) return { order: null, parts: runsOf(keys) };
  return { order: orderedPlaces(keys, { counts, lowest }), parts: partsOf(counts, lowest) };
}

/** Stretches in which readings of one detector follow each other. */
function runsOf(keys: Uint32Array): Part[] {
  const runs: Part[] = [];
  let from = 0;
  for (let index = 1; index <= keys.length; index += 1) {
    if (index < keys.length && keys[index] === keys[from]) continue;
    runs.push({ key: keys[from] ?? 0, from, to: index });
    from = index;
  }
  return runs;
}

function partsOf(counts: Uint32Array, lowest: number): Part[] {
  const parts: Part[] = [];
  let end = 0;
  for (let index = 0; index < counts.length; index += 1) {
    const count = counts[index] ?? 0;
    if (count > 0) parts.push({ key: lowest + index, from: end, to: end + count });
    end += count;
  }
  return parts;
}

function orderedPlaces(keys: Uint32Array, { counts, lowest }: { counts: Uint32Array; lowest: number }): Uint32Array {
  const next = new Uint32Array(counts.length);
  for (let index = 1; index < next.length; index += 1) next[index] = (next[index - 1] ?? 0) + (counts[index - 1] ?? 0);
  const order = new Uint32Array(keys.length);
  for (let index = 0; index < keys.length; index += 1) {
    const at = (keys[index] ?? 0) - lowest;
    order[next[at] ?? 0] = index;
    next[at] = (next[at] ?? 0) + 1;
  }
  return order;
}

function partOf(rows: ReadingRows, from: number, to: number): SentReadings {
  return {
    readAt: rows.readAt.subarray(from, to),
    signalPct: rows.signalPct.subarray(from, to),
    compensationPct: rows.compensationPct.subarray(from, to),
    temperatureC: rows.temperatureC.subarray(from, to),
    line: rows.line.subarray(from, to),
  };
}

function picked(rows: ReadingRows | SentReadings, places: Uint32Array): SentReadings {
  const part = (column: Float64Array) => {
    const values = new Float64Array(places.length);
    for (let index = 0; index < places.length; index += 1) values[index] = column[places[index] ?? 0] ?? 0;
    return values;
  };
  const line = new Uint32Array(places.length);
  for (let index = 0; index < places.length; index += 1) line[index] = rows.line[places[index] ?? 0] ?? 0;
  return {
    readAt: part(rows.readAt),
    signalPct: part(rows.signalPct),
    compensationPct: part(rows.compensationPct),
    temperatureC: part(rows.temperatureC),
    line,
  };
}

/** The readings of one detector by time; equal times stay in the order in which they came. */
function inTime(sent: SentReadings): SentReadings {
  const { readAt } = sent;
  if (rises(readAt)) return sent;
  const places = Uint32Array.from(readAt, (_, index) => index);
  places.sort((one, other) => (readAt[one] ?? 0) - (readAt[other] ?? 0) || one - other);
  return picked(sent, places);
}

function rises(times: Float64Array): boolean {
  for (let index = 1; index < times.length; index += 1) if ((times[index] ?? 0) < (times[index - 1] ?? 0)) return false;
  return true;
}

function* quartersOf(sorted: SentReadings): Generator<{ quarter: number; sent: SentReadings }> {
  const { readAt } = sorted;
  for (let from = 0; from < readAt.length; ) {
    const quarter = quarterOf(readAt[from] ?? 0);
    const endAt = startOfQuarter(quarter + 1);
    let to = from + 1;
    while (to < readAt.length && (readAt[to] ?? 0) < endAt) to += 1;
    const start = from;
    const end = to;
    yield {
      quarter,
      sent: {
        readAt: readAt.subarray(start, end),
        signalPct: sorted.signalPct.subarray(start, end),
        compensationPct: sorted.compensationPct.subarray(start, end),
        temperatureC: sorted.temperatureC.subarray(start, end),
        line: sorted.line.subarray(start, end),
      },
    };
    from = to;
  }
}
