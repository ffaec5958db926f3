import type { DriftFit } from "@/lib/analyse/drift/fit";
import { rowsBefore } from "@/lib/analyse/drift/recent-weeks";
import { thermalOf } from "@/lib/analyse/drift/thermal";
import type { DetectorHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** A jump of the level to the worse that no work explains; `knock` when nothing has mended it since. */
export type Jump = { readonly day: number; readonly change: number; readonly knock: boolean };

const LAST_DAYS = 5;
const BEFORE_DAYS = 35;
const LEAST_JUMP_DB = 0.4;
const SIGMAS = 6;
const MENDED_SHARE = 0.5;
const KNOCK_SHARE = 0.15;

/**
 * Sudden displacements of a beam, oldest first: the jumps between weeks, and those in the last days before a
 * realignment, which a call-out ends before they fill a week. `knockDb` is the jump that still stands, 0 for none.
 */
export function displacementsOf(
  history: DetectorHistory,
  fit: DriftFit,
): { readonly jumps: readonly Jump[]; readonly knockDb: number } {
  const { steps, resets } = fit.prepared;
  const worse = steps.filter(({ change }) => change > 0);
  const jumps: Jump[] = worse.map(({ day, change, row }) => {
    const later = steps.filter((step) => step.row > row);
    const better = later.reduce((sum, step) => sum - Math.min(0, step.change), 0);
    const aligned = resets.some((reset) => reset.day >= day && reset.tasks.some((task) => task !== "clean"));
    return { day, change, knock: !aligned && better < MENDED_SHARE * change };
  });
  for (const { day, tasks } of resets) {
    if (!tasks.includes("realign") && !tasks.includes("replace")) continue;
    const change = jumpBefore(history, { fit, day });
    const known = jumps.some((jump) => Math.abs(jump.day - day) <= BEFORE_DAYS);
    if (change !== null && !known) jumps.push({ day, change, knock: false });
  }
  const standing = jumps.filter(({ knock }) => knock).reduce((sum, { change }) => sum + change, 0);
  // Several that nobody mended are a mount that works loose rather than knocks.
  const several = jumps.filter(({ knock }) => knock).length >= 3;
  const knockDb = several || standing < KNOCK_SHARE * fit.limit ? 0 : standing;
  return {
    jumps: jumps.map((jump) => (several ? { ...jump, knock: false } : jump)).sort((a, b) => a.day - b.day),
    knockDb,
  };
}

function jumpBefore({ signal }: DetectorHistory, { fit, day }: { fit: DriftFit; day: number }): number | null {
  if (signal === null) return null;
  const { weeks } = fit.prepared;
  let row = 0;
  while (row < weeks.day.length && (weeks.day[row] ?? Infinity) < day) row += 1;
  const setC = fit.prepared.setC[row - 1] ?? Number.NaN;
  const now: number[] = [];
  const before: number[] = [];
  const end = rowsBefore(signal, day * DAY_MS);
  for (let index = rowsBefore(signal, (day - BEFORE_DAYS) * DAY_MS); index < end; index += 1) {
    const at = signal.day[index] ?? 0;
    const ahead = day - at;
    const away = (signal.temperatureC[index] ?? Number.NaN) - setC;
    const thermal = thermalOf(fit.term, { day: at, awayC: Number.isNaN(away) ? 0 : away });
    (ahead <= LAST_DAYS ? now : before).push((signal.attenuationDb[index] ?? 0) - thermal);
  }
  if (now.length < 1 || before.length < LAST_DAYS) return null;
  // The day of the jump itself may lie anywhere in the last days, so their worst counts, not their median.
  const middle = medianInPlace(Float64Array.from(before)) ?? 0;
  const spread = 1.4826 * (medianInPlace(Float64Array.from(before, (value) => Math.abs(value - middle))) ?? 0);
  const change = Math.max(...now) - middle;
  return change > Math.max(LEAST_JUMP_DB, SIGMAS * spread) ? change : null;
}
