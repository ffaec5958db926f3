import { MINUTE_MS } from "@/lib/kernel/units";
import type { ReadingSeries } from "@/lib/records/reading";

/** An import whose values stand in the store a fixed time earlier or later; `minutes` above 0: the import is later. */
export type ShiftedFile = {
  readonly importId: number;
  readonly minutes: number;
  readonly compared: number;
  readonly firstAt: number;
  readonly lastAt: number;
};

const QUARTER_MS = 15 * MINUTE_MS;
const MOST_QUARTERS = 56;
const LEAST_COMPARED = 12;
const LEAST_DIFFERENT = 4;
const MATCHING = 0.9;
const MATCHING_BY_CHANCE = 0.3;

/**
 * By how many minutes sent readings stand later than the same values in the store; null where no single shift of
 * quarters of an hour up to 14 hours fits nine in ten of them (at least twelve, of four values or more), or where
 * values repeat so often that several would.
 */
export function valueShift(
  sent: Pick<ReadingSeries, "readAt" | "signalPct">,
  stored: Pick<ReadingSeries, "readAt" | "signalPct">,
): { minutes: number; compared: number } | null {
  if (sent.readAt.length < LEAST_COMPARED || new Set(sent.signalPct).size < LEAST_DIFFERENT) return null;
  const valueAt = new Map<number, number>();
  for (const [index, at] of stored.readAt.entries()) valueAt.set(at, stored.signalPct[index] ?? 0);
  let best: { minutes: number; compared: number; share: number } | null = null;
  let second = 0;
  for (let quarters = -MOST_QUARTERS; quarters <= MOST_QUARTERS; quarters += 1) {
    if (quarters === 0) continue;
    let compared = 0;
    let same = 0;
    for (const [index, at] of sent.readAt.entries()) {
      const value = valueAt.get(at - quarters * QUARTER_MS);
      if (value === undefined) continue;
      compared += 1;
      if (value === sent.signalPct[index]) same += 1;
    }
    if (compared < LEAST_COMPARED) continue;
    const share = same / compared;
    if (best === null || share > best.share) {
      second = best?.share ?? second;
      best = { minutes: quarters * 15, compared, share };
    } else second = Math.max(second, share);
  }
  if (best === null || best.share < MATCHING || second > MATCHING_BY_CHANCE) return null;
  return { minutes: best.minutes, compared: best.compared };
}
