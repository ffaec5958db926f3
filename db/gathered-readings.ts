import type { SentReadings } from "@/db/reading-merge";
import { quarterOf, startOfQuarter } from "@/db/reading-store";
import type { Reading } from "@/lib/records/reading";

/** What was gathered of one detector: its readings by time, cut into quarters. */
export type GatheredDetector = {
  readonly detectorKey: number;
  readonly detectorId: string;
  readonly quarters: Iterable<{ readonly quarter: number; readonly sent: SentReadings }>;
};

/** Readings of any detectors in the order they were sent, in columns of a fixed size, so that memory stays flat. */
export class GatheredReadings {
  private length = 0;
  private readonly slotOf = new Map<number, number>();
  private readonly detectors: { readonly key: number; readonly id: string; count: number }[] = [];
  private columns: { readonly slot: Uint32Array; readonly values: SentReadings } | null = null;

  constructor(private readonly capacity: number) {}

  /** Adds a reading; true when there is room for no more. */
  add(detectorKey: number, reading: Reading, line: number): boolean {
    // Made with the first reading: most files have none.
    this.columns ??= { slot: new Uint32Array(this.capacity), values: emptyColumns(this.capacity) };
    const { slot, values } = this.columns;
    slot[this.length] = this.slotFor(detectorKey, reading.detectorId);
    values.readAt[this.length] = reading.readAt;
    values.signalPct[this.length] = reading.signalPct;
    values.compensationPct[this.length] = reading.compensationPct ?? Number.NaN;
    values.temperatureC[this.length] = reading.temperatureC ?? Number.NaN;
    values.line[this.length] = line;
    this.length += 1;
    return this.length === this.capacity;
  }

  /** All that was gathered, detector by detector; the gathering begins anew when it is taken to the end. */
  *take(): Generator<GatheredDetector> {
    const { columns } = this;
    if (columns) {
      const order = this.orderBySlot(columns.slot);
      let from = 0;
      for (const { key, id, count } of this.detectors) {
        const places = order.subarray(from, from + count);
        from += count;
        yield { detectorKey: key, detectorId: id, quarters: quartersOf(sortedPart(columns.values, places)) };
      }
    }
    this.length = 0;
    this.slotOf.clear();
    this.detectors.length = 0;
  }

  private slotFor(key: number, id: string): number {
    const slot = this.slotOf.get(key) ?? this.detectors.length;
    const known = this.detectors[slot];
    if (known) known.count += 1;
    else {
      this.slotOf.set(key, slot);
      this.detectors.push({ key, id, count: 1 });
    }
    return slot;
  }

  /** Places of the readings by detector, in the order sent within each (a counting sort). */
  private orderBySlot(slot: Uint32Array): Uint32Array {
    const next = new Uint32Array(this.detectors.length);
    for (let index = 1; index < next.length; index += 1) {
      next[index] = (next[index - 1] ?? 0) + (this.detectors[index - 1]?.count ?? 0);
    }
    const order = new Uint32Array(this.length);
    for (let index = 0; index < this.length; index += 1) {
      const at = slot[index] ?? 0;
      order[next[at] ?? 0] = index;
      next[at] = (next[at] ?? 0) + 1;
    }
    return order;
  }
}

/** The readings at some places, by time; equal times stay in the order in which they came. */
function sortedPart(values: SentReadings, places: Uint32Array): SentReadings {
  const { readAt } = values;
  const rising = places.every(
    (place, index) => index === 0 || (readAt[place] ?? 0) >= (readAt[places[index - 1] ?? 0] ?? 0),
  );
  if (!rising) places.sort((one, other) => (readAt[one] ?? 0) - (readAt[other] ?? 0) || one - other);
  const part = (column: Float64Array) => {
    const picked = new Float64Array(places.length);
    for (let index = 0; index < places.length; index += 1) picked[index] = column[places[index] ?? 0] ?? 0;
    return picked;
  };
  return mapColumns(values, part);
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
    yield { quarter, sent: mapColumns(sorted, (column) => column.subarray(start, end)) };
    from = to;
  }
}

function emptyColumns(capacity: number): SentReadings {
  const column = () => new Float64Array(capacity);
  return {
    readAt: column(),
    signalPct: column(),
    compensationPct: column(),
    temperatureC: column(),
    line: column(),
  };
}

function mapColumns(values: SentReadings, map: (column: Float64Array) => Float64Array): SentReadings {
  return {
    readAt: map(values.readAt),
    signalPct: map(values.signalPct),
    compensationPct: map(values.compensationPct),
    temperatureC: map(values.temperatureC),
    line: map(values.line),
  };
}
