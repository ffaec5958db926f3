import type { Merge, ReadingClaim, SentReadings } from "@/db/reading-merge";
import type { ReadingSeries } from "@/lib/records/reading";

/**
 * The merge of readings in which none contradicts another, column by column: new times, and the same readings again.
 *
 * `own`, which agrees with all of them, is changed in place. Returns null, with nothing changed, when a time stands
 * twice among those sent or a stored one has other values: then each reading must be judged by itself.
 */
export function joinReadings(
  stored: ReadingSeries,
  { sent, own }: { sent: SentReadings; own: ReadingClaim },
): Merge | null {
  const duplicates = countRepeated(stored, sent);
  if (duplicates === null) return null;
  const accepted = sent.readAt.length - duplicates;
  const before = own.agreed.length;
  own.agreed = unionOfTimes(own.agreed, sent.readAt);
  return {
    series: accepted === 0 ? stored : joined(stored, { sent, length: stored.readAt.length + accepted }),
    accepted,
    duplicates,
    conflicts: [],
    changedClaims: new Set(own.agreed.length > before ? [own] : []),
  };
}

/** Times of either set, rising; one of the sets itself when the other adds none. */
export function unionOfTimes(one: Float64Array, other: Float64Array): Float64Array {
  if (other.length === 0) return one;
  if (one.length === 0) return other;
  const union = new Float64Array(one.length + other.length);
  let length = 0;
  let next = 0;
  for (let index = 0; index < one.length; index += 1) {
    const at = one[index] ?? 0;
    for (; next < other.length && (other[next] ?? 0) <= at; next += 1) {
      if ((other[next] ?? 0) < at) union[length++] = other[next] ?? 0;
    }
    union[length++] = at;
  }
  for (; next < other.length; next += 1) union[length++] = other[next] ?? 0;
  return length === one.length ? one : union.slice(0, length);
}

/** How many sent readings are stored already; null when they do not rise in time or one is stored with other values. */
function countRepeated(stored: ReadingSeries, sent: SentReadings): number | null {
  let repeated = 0;
  let next = 0;
  let before = -Infinity;
  for (let index = 0; index < sent.readAt.length; index += 1) {
    const at = sent.readAt[index] ?? 0;
    if (at <= before) return null;
    before = at;
    while (next < stored.readAt.length && (stored.readAt[next] ?? 0) < at) next += 1;
    if (stored.readAt[next] !== at) continue;
    if (
      !alike(stored.signalPct[next], sent.signalPct[index]) ||
      !alike(stored.compensationPct[next], sent.compensationPct[index]) ||
      !alike(stored.temperatureC[next], sent.temperatureC[index])
    )
      return null;
    repeated += 1;
  }
  return repeated;
}

function alike(one: number | undefined, other: number | undefined): boolean {
  return one === other || (Number.isNaN(one) && Number.isNaN(other));
}

function joined(stored: ReadingSeries, { sent, length }: { sent: SentReadings; length: number }): ReadingSeries {
  const last = stored.readAt[stored.readAt.length - 1];
  if (last === undefined) return sent;
  // Later readings are appended whole: the common case, of a detector's next file.
  if (last < (sent.readAt[0] ?? 0)) {
    const append = (one: Float64Array, other: Float64Array) => {
      const both = new Float64Array(length);
      both.set(one);
      both.set(other, one.length);
      return both;
    };
    return {
      readAt: append(stored.readAt, sent.readAt),
      signalPct: append(stored.signalPct, sent.signalPct),
      compensationPct: append(stored.compensationPct, sent.compensationPct),
      temperatureC: append(stored.temperatureC, sent.temperatureC),
    };
  }
  return woven(stored, { sent, length });
}

function woven(stored: ReadingSeries, { sent, length }: { sent: SentReadings; length: number }): ReadingSeries {
  const out = {
    readAt: new Float64Array(length),
    signalPct: new Float64Array(length),
    compensationPct: new Float64Array(length),
    temperatureC: new Float64Array(length),
  };
  let at = 0;
  let next = 0;
  const take = (from: ReadingSeries, index: number) => {
    out.readAt[at] = from.readAt[index] ?? 0;
    out.signalPct[at] = from.signalPct[index] ?? 0;
    out.compensationPct[at] = from.compensationPct[index] ?? 0;
    out.temperatureC[at] = from.temperatureC[index] ?? 0;
    at += 1;
  };
  for (let index = 0; index < sent.readAt.length; index += 1) {
    const sentAt = sent.readAt[index] ?? 0;
    for (; next < stored.readAt.length && (stored.readAt[next] ?? 0) < sentAt; next += 1) take(stored, next);
    if (stored.readAt[next] !== sentAt) take(sent, index);
  }
  for (; next < stored.readAt.length; next += 1) take(stored, next);
  return out;
}
