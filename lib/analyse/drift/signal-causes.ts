import { displacementsOf } from "@/lib/analyse/drift/displacements";
import type { DriftFit } from "@/lib/analyse/drift/fit";
import type { DriftModel } from "@/lib/analyse/drift/model";
import { recoveryOf } from "@/lib/analyse/drift/recovery";
import { yearlyRange } from "@/lib/analyse/drift/thermal";
import { thermalShare } from "@/lib/analyse/drift/thermal-share";
import type { Threat } from "@/lib/analyse/findings/kind";
import type { DetectorHistory } from "@/lib/analyse/history";
import { studentUpper } from "@/lib/statistics/distributions";

/** Share, 0 to 1, of what threatens a detector's signal that a cause explains. */
export type SignalCause = { readonly cause: Threat; readonly weight: number };

const HORIZON_DAYS = 182;
const LONGEST_SOILED_DAYS = 730;
// Losses below this share of the limit, all together, leave most of the weight to nothing the signal shows.
const QUIET_SHARE = 0.35;
const SPENT_PCT = 85;
const WIDE = 1.645;
const RECENT_DAYS = 730;

/**
 * What the readings hold against each cause as of the model's moment, largest first; weights sum to 1 at most, and the
 * rest is nothing the signal shows. Empty where nothing could be fitted.
 */
export function signalCauses(model: DriftModel): readonly SignalCause[] {
  return model.outcome === "none" ? [] : model.causes;
}

/**
 * Loss of margin that each cause brings, as a share of all loss or of a third of the limit where there is less: what
 * has fallen and will fall in half a year (soiling where cleaning mends it, ageing where it does not), the worst of the
 * thermal year as far as heat foretells it, the jumps and the wandering of a mount, an unmended knock, and
 * compensation that is used up.
 */
export function weighCauses(history: DetectorHistory, fits: readonly DriftFit[]): SignalCause[] {
  const [signal] = fits;
  if (!signal) return [];
  const { limit } = signal;
  const compensation = fits.find(({ quantity }) => quantity === "compensation");
  const fall = Math.max(...fits.map((fit) => (fallOf(fit) * limit) / fit.limit));
  const mended = recoveryOf(fits);
  const range = yearlyRange(signal.term, signal.levelDay);
  const { jumps, knockDb } = displacementsOf(history, signal);
  const since = signal.levelDay - RECENT_DAYS;
  const recent = jumps.filter(({ day, knock }) => day > since && !knock);
  const usualJump = recent.reduce((sum, { change }) => sum + change, 0) / Math.max(1, recent.length);
  const wander = WIDE * Math.sqrt(signal.walkPerDay * HORIZON_DAYS);
  // One jump is an accident, three are a mount.
  const loose = usualJump * Math.min(1, recent.length / 3) + Math.max(0, wander - QUIET_SHARE * limit);
  const losses: { cause: Threat; lossDb: number }[] = [
    { cause: "soiling", lossDb: fall * mended },
    { cause: "ageing", lossDb: fall * (1 - mended) },
    { cause: "thermal movement", lossDb: Math.max(0, range.high) * thermalShare(signal) },
    { cause: "mount that will not hold", lossDb: loose },
    { cause: "knocked out of line", lossDb: knockDb },
    { cause: "compensation at its limit", lossDb: compensation ? spentShare(compensation) * limit : 0 },
  ];
  const all = losses.reduce((sum, { lossDb }) => sum + lossDb, 0);
  const whole = Math.max(all, QUIET_SHARE * limit);
  return losses
    .map(({ cause, lossDb }) => ({ cause, weight: lossDb / whole }))
    .filter(({ weight }) => weight >= 0.01)
    .sort((a, b) => b.weight - a.weight);
}

// What a fall has cost since the last reset and will cost in half a year, as far as it is sure that there is one.
function fallOf({ slope, slopeSe, df, prepared, levelDay }: DriftFit): number {
  if (slope <= 0) return 0;
  const sure = Math.max(0, 1 - 2 * studentUpper(slope / slopeSe, Math.max(3, df)));
  const began = prepared.weeks.day[prepared.starts.at(-1) ?? 0] ?? levelDay;
  return sure * slope * (Math.min(LONGEST_SOILED_DAYS, levelDay - began) + HORIZON_DAYS);
}

function spentShare({ level }: DriftFit): number {
  return Math.max(0, Math.min(100, level) - SPENT_PCT) / (100 - SPENT_PCT);
}
