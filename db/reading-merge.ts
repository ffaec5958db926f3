import { joinReadings, unionOfTimes } from "@/db/reading-join";
import type { ReadingSeries } from "@/lib/records/reading";

/** The values of one reading; NaN for an absent compensation or temperature. */
export type ReadingValues = readonly [signalPct: number, compensationPct: number, temperatureC: number];

/** What one import said of a chunk: times at which it said what is stored, and its own values where imports disagree. */
export type ReadingClaim = {
  readonly importId: number;
  readonly replaces: boolean;
  agreed: Float64Array;
  contested: Map<number, ReadingValues>;
};

/** Readings as they were sent: by time, equal times in the order of their lines. */
export type SentReadings = ReadingSeries & { readonly line: Uint32Array };

/** A sent reading whose time was stored with other values. */
export type ReadingConflict = {
  readonly line: number;
  readonly readAt: number;
  readonly replaced: boolean;
  readonly stored: ReadingValues;
  readonly sent: ReadingValues;
};

/** A chunk after a merge: its readings, what became of those sent, and which claims changed. */
export type Merge = {
  readonly series: ReadingSeries;
  readonly accepted: number;
  readonly duplicates: number;
  readonly conflicts: readonly ReadingConflict[];
  readonly changedClaims: ReadonlySet<ReadingClaim>;
};

/**
 * Merges sent readings into a chunk: a new time is added, the same values again are a duplicate, other values a
 * conflict, in which the stored reading stays unless the import replaces.
 *
 * `claims` hold, in order, all that was said of the chunk; `own` is among them and is the claim of the sending import.
 * Claims are changed in place: a time at which two imports disagree becomes contested in each that spoke of it.
 */
export function mergeReadings(
  stored: ReadingSeries,
  { sent, claims, own }: { sent: SentReadings; claims: readonly ReadingClaim[]; own: ReadingClaim },
): Merge {
  const peaceful = claims.every((claim) => claim.contested.size === 0);
  return (peaceful ? joinReadings(stored, { sent, own }) : null) ?? settleReadings(stored, { sent, claims, own });
}

/** The merge reading by reading, in which any of them may be a conflict. */
function settleReadings(
  stored: ReadingSeries,
  { sent, claims, own }: { sent: SentReadings; claims: readonly ReadingClaim[]; own: ReadingClaim },
): Merge {
  const out = growingSeries(stored.readAt.length + sent.readAt.length);
  const quarrel = quarrelOver(claims, own);
  const conflicts: ReadingConflict[] = [];
  let accepted = 0;
  let duplicates = 0;
  let next = 0;
  for (let index = 0; index < sent.readAt.length; index += 1) {
    const at = sent.readAt[index] ?? 0;
    while (next < stored.readAt.length && (stored.readAt[next] ?? 0) <= at) {
      out.push(stored.readAt[next] ?? 0, valuesAt(stored, next));
      next += 1;
    }
    const values = valuesAt(sent, index);
    const before = out.valuesOfLast(at);
    if (before === null) {
      out.push(at, values);
      quarrel.agree(at);
      accepted += 1;
    } else if (same(before, values)) {
      quarrel.repeat(at, values);
      duplicates += 1;
    } else {
      quarrel.contest(at, { stored: before, sent: values });
      if (own.replaces) out.putLast(values);
      conflicts.push({ line: sent.line[index] ?? 0, readAt: at, replaced: own.replaces, stored: before, sent: values });
    }
  }
  for (; next < stored.readAt.length; next += 1) out.push(stored.readAt[next] ?? 0, valuesAt(stored, next));
  return { series: out.done(), accepted, duplicates, conflicts, changedClaims: quarrel.finish() };
}

/** The chunk as the claims left to it say, when those of one import are gone; it may be empty. */
export function foldReadings(stored: ReadingSeries, claims: readonly ReadingClaim[]): ReadingSeries {
  const vouched = new Set<number>();
  const contested = new Map<number, ReadingValues>();
  for (const claim of claims) {
    for (const at of claim.agreed) vouched.add(at);
    for (const [at, values] of claim.contested) {
      if (claim.replaces || !contested.has(at)) contested.set(at, values);
    }
  }
  const out = growingSeries(stored.readAt.length);
  for (let index = 0; index < stored.readAt.length; index += 1) {
    const at = stored.readAt[index] ?? 0;
    const rightful = contested.get(at) ?? (vouched.has(at) ? valuesAt(stored, index) : null);
    if (rightful) out.push(at, rightful);
  }
  return out.done();
}

/**
 * Ends quarrels in which all who speak say the same: such times are agreed. Claims are changed in place; those changed.
 *
 * So claims depend only on what their imports said, not on imports that have been taken back since.
 */
export function settleClaims(claims: readonly ReadingClaim[]): ReadonlySet<ReadingClaim> {
  const sayings = new Map<number, { values: ReadingValues; alike: boolean }>();
  for (const { contested } of claims) {
    for (const [at, values] of contested) {
      const known = sayings.get(at);
      if (!known) sayings.set(at, { values, alike: true });
      else if (!same(known.values, values)) known.alike = false;
    }
  }
  const changed = new Set<ReadingClaim>();
  for (const claim of claims) {
    const ended = [...claim.contested.keys()].filter((at) => sayings.get(at)?.alike);
    if (ended.length === 0) continue;
    for (const at of ended) claim.contested.delete(at);
    claim.agreed = unionOfTimes(claim.agreed, Float64Array.from(ended).sort());
    changed.add(claim);
  }
  return changed;
}

/** A series of the readings in a map, by time. */
export function seriesOfMap(readings: ReadonlyMap<number, ReadingValues>): ReadingSeries {
  const out = growingSeries(readings.size);
  for (const [at, values] of [...readings].sort(([one], [other]) => one - other)) out.push(at, values);
  return out.done();
}

/** The readings of a series by their time. */
export function mapOfSeries(series: ReadingSeries): Map<number, ReadingValues> {
  return new Map(Array.from(series.readAt, (at, index) => [at, valuesAt(series, index)]));
}

/** Keeps the claims true while readings are merged. */
function quarrelOver(claims: readonly ReadingClaim[], own: ReadingClaim) {
  const everContested = new Set(claims.flatMap((claim) => [...claim.contested.keys()]));
  const changed = new Set<ReadingClaim>();
  const moved = new Map<ReadingClaim, Set<number>>();
  const added: number[] = [];
  const say = (at: number, values: ReadingValues) => {
    changed.add(own);
    if (own.replaces || !own.contested.has(at)) own.contested.set(at, values);
  };
  return {
    agree(at: number): void {
      if (added.at(-1) !== at) added.push(at);
    },
    repeat(at: number, values: ReadingValues): void {
      if (everContested.has(at)) say(at, values);
      else this.agree(at);
    },
    contest(at: number, { stored, sent }: { stored: ReadingValues; sent: ReadingValues }): void {
      for (const claim of claims) {
        const agreedNow = claim === own && added.at(-1) === at;
        if (!agreedNow && !holds(claim.agreed, at)) continue;
        if (agreedNow) added.pop();
        changed.add(claim);
        if (!claim.contested.has(at)) claim.contested.set(at, stored);
        const gone = moved.get(claim) ?? new Set();
        moved.set(claim, gone.add(at));
      }
      everContested.add(at);
      say(at, sent);
    },
    finish(): ReadonlySet<ReadingClaim> {
      for (const [claim, gone] of moved) claim.agreed = claim.agreed.filter((at) => !gone.has(at));
      if (added.length > 0) {
        changed.add(own);
        own.agreed = unionOfTimes(own.agreed, Float64Array.from(added));
      }
      for (const claim of settleClaims(claims)) changed.add(claim);
      return changed;
    },
  };
}

function growingSeries(capacity: number) {
  const readAt = new Float64Array(capacity);
  const signalPct = new Float64Array(capacity);
  const compensationPct = new Float64Array(capacity);
  const temperatureC = new Float64Array(capacity);
  let length = 0;
  const put = (index: number, [signal, compensation, temperature]: ReadingValues) => {
    signalPct[index] = signal;
    compensationPct[index] = compensation;
    temperatureC[index] = temperature;
  };
  return {
    push(at: number, values: ReadingValues): void {
      readAt[length] = at;
      put(length, values);
      length += 1;
    },
    valuesOfLast(at: number): ReadingValues | null {
      const last = length - 1;
      if (last < 0 || readAt[last] !== at) return null;
      return [signalPct[last] ?? 0, compensationPct[last] ?? 0, temperatureC[last] ?? 0];
    },
    putLast: (values: ReadingValues) => put(length - 1, values),
    done: (): ReadingSeries => ({
      readAt: readAt.slice(0, length),
      signalPct: signalPct.slice(0, length),
      compensationPct: compensationPct.slice(0, length),
      temperatureC: temperatureC.slice(0, length),
    }),
  };
}

function valuesAt(series: ReadingSeries, index: number): ReadingValues {
  return [series.signalPct[index] ?? 0, series.compensationPct[index] ?? 0, series.temperatureC[index] ?? 0];
}

function same(one: ReadingValues, other: ReadingValues): boolean {
  return one.every((value, index) => value === other[index] || (Number.isNaN(value) && Number.isNaN(other[index])));
}

function holds(times: Float64Array, at: number): boolean {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times[middle] ?? Infinity) < at) low = middle + 1;
    else high = middle;
  }
  return times[low] === at;
}
