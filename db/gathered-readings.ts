import type { SentReadings } from "@/db/reading-merge";
import { quarterOf, startOfQuarter } from "@/db/reading-store";
import type { Reading } from "@/lib/records/reading";
import { emptyRows, type ReadingRows } from "@/lib/records/reading-rows";

/** What was gathered of one detector: its readings by time, cut into quarters. */
export type GatheredDetector = {
  readonly detectorKey: number;
  readonly quarters: Iterable<{ readonly quarter: number; readonly sent: SentReadings }>;
};

/** Readings of any detectors in the order they were sent, in columns of a fixed size, so that memory stays flat. */
export class GatheredReadings {
  private gathered: ReadingRows | null = null;

  constructor(private readonly capacity: number) {}

  /** Adds a reading; true when there is room for no more. */
  add(detectorKey: number, reading: Reading, line: number): boolean {
    const { gathered } = this.room();
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
    const { gathered, left } = this.room();
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
    const { order, parts } = placesByDetector(gathered.detectorKey.subarray(0, gathered.length));
    for (const { key, from, to } of parts) {
      yield { detectorKey: key, quarters: quartersOf(sortedPart(gathered, order.subarray(from, to))) };
    }
    gathered.length = 0;
  }

  private room(): { gathered: ReadingRows; left: number } {
    // Made with the first reading: most files have none.
    this.gathered ??= emptyRows(this.capacity);
    if (this.isFull()) throw new RangeError(`no room for more than ${this.capacity} readings`);
    return { gathered: this.gathered, left: this.capacity - this.gathered.length };
  }
}

type Part = { readonly key: number; readonly from: number; readonly to: number };

/** Places of the readings by detector, in the order sent within each (a counting sort), detectors as they first came. */
function placesByDetector(keys: Uint32Array): { order: Uint32Array; parts: Part[] } {
  const slots = new Map<number, number>();
  const slotAt = new Uint32Array(keys.length);
  const counts: number[] = [];
  let lastKey = -1;
  let slot = 0;
  for (let index = 0; index < keys.length; index += 1) {
    const key = keys[index] ?? 0;
    if (key !== lastKey) {
      slot = slots.get(key) ?? slots.size;
      if (slot === slots.size) {
        slots.set(key, slot);
        counts.push(0);
      }
      lastKey = key;
    }
    slotAt[index] = slot;
    counts[slot] = (counts[slot] ?? 0) + 1;
  }
  const next = new Uint32Array(counts.length);
  for (let index = 1; index < next.length; index += 1) next[index] = (next[index - 1] ?? 0) + (counts[index - 1] ?? 0);
  const parts = [...slots.keys()].map((key, index) => {
    const from = next[index] ?? 0;
    return { key, from, to: from + (counts[index] ?? 0) };
  });
  const order = new Uint32Array(keys.length);
  for (let index = 0; index < keys.length; index += 1) {
    const at = slotAt[index] ?? 0;
    order[next[at] ?? 0] = index;
    next[at] = (next[at] ?? 0) + 1;
  }
  return { order, parts };
}

/** The readings at some places, by time; equal times stay in the order in which they came. */
function sortedPart(rows: ReadingRows, places: Uint32Array): SentReadings {
  const { readAt } = rows;
  if (!rises(readAt, places)) places.sort((one, other) => (readAt[one] ?? 0) - (readAt[other] ?? 0) || one - other);
  const picked = (column: Float64Array | Uint32Array) => {
    const part = new Float64Array(places.length);
    for (let index = 0; index < places.length; index += 1) part[index] = column[places[index] ?? 0] ?? 0;
    return part;
  };
  return {
    readAt: picked(readAt),
    signalPct: picked(rows.signalPct),
    compensationPct: picked(rows.compensationPct),
    temperatureC: picked(rows.temperatureC),
    line: picked(rows.line),
  };
}

function rises(readAt: Float64Array, places: Uint32Array): boolean {
  let before = -Infinity;
  for (let index = 0; index < places.length; index += 1) {
    const at = readAt[places[index] ?? 0] ?? 0;
    if (at < before) return false;
    before = at;
  }
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
