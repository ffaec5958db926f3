import type { Alarm } from "@/lib/analyse/findings/seasonal-alarms/null-spread";
import type { DetectorHistory } from "@/lib/analyse/history";
import { contains } from "@/lib/kernel/interval";
import { attenuationOfObscuration, DAY_MS } from "@/lib/kernel/units";

const THIN = 0.5;
const LEAST_DAYS = 200;

/**
 * Alarms on days on which the signal had used up half of its margin to the alarm, and the share of such days.
 *
 * Dirt or a lost alignment makes a detector alarm then whatever the season. Null where readings are few, or where such
 * days are none or most.
 */
export function thinMargin(
  { signal, detector, exposure }: DetectorHistory,
  alarms: readonly Alarm[],
): { readonly inside: number; readonly total: number; readonly evenShare: number } | null {
  if (signal === null) return null;
  const limitDb = THIN * attenuationOfObscuration(detector.alarmThresholdPct);
  const thin = new Map<number, boolean>();
  for (const [index, day] of signal.day.entries()) {
    if (contains(exposure.observed, (day + 0.5) * DAY_MS)) thin.set(day, (signal.attenuationDb[index] ?? 0) >= limitDb);
  }
  const days = [...thin.values()].filter(Boolean).length;
  if (thin.size < LEAST_DAYS || days === 0 || days > thin.size / 2) return null;
  const known = alarms.flatMap(({ at }) => thin.get(Math.floor(at / DAY_MS)) ?? []);
  return { inside: known.filter(Boolean).length, total: known.length, evenShare: days / thin.size };
}
