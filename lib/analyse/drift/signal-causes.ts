import { displacementsOf } from "@/lib/analyse/drift/displacements";
import type { DriftFit } from "@/lib/analyse/drift/fit";
import type { DriftModel } from "@/lib/analyse/drift/model";
import { dirtShare } from "@/lib/analyse/drift/recovery";
import { yearlyRange } from "@/lib/analyse/drift/thermal";
import { thermalShare } from "@/lib/analyse/drift/thermal-share";
import type { Threat } from "@/lib/analyse/findings/kind";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { Task } from "@/lib/records/vocabulary";
import { studentUpper } from "@/lib/statistics/distributions";

/** Share, 0 to 1, of what threatens a detector's signal that a cause explains. */
export type SignalCause = { readonly cause: Threat; readonly weight: number };

const HORIZON_DAYS = 182;
const LONGEST_DAYS = 1095;
// Losses below this share of the limit, all together, leave most of the weight to nothing the signal shows.
const QUIET_SHARE = 0.35;
const SPENT_PCT = 85;
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
 * has fallen and will fall in half a year (soiling where cleaning mends it, ageing where it does not, a mount where it
 * comes in jumps), the worst of the thermal year as far as heat foretells it, the sudden displacements of a mount, an unmended knock, and
 * compensation that is used up.
 */
export function weighCauses(
  history: DetectorHistory,
  { fits, usualWalkPerDay }: { fits: readonly DriftFit[]; usualWalkPerDay: number },
): SignalCause[] {
  const [signal] = fits;
  if (!signal) return [];
  const { limit } = signal;
  const compensation = fits.find(({ quantity }) => quantity === "compensation");
  const falls = fallsOf(signal, { dirt: dirtShare(fits), scale: 1, usualWalkPerDay });
  const taken = compensation
    ? fallsOf(compensation, { dirt: dirtShare([compensation]), scale: limit / compensation.limit, usualWalkPerDay: 0 })
    : noFalls;
  const range = yearlyRange(signal.term, signal.levelDay);
  const { jumps, knockDb } = displacementsOf(history, signal);
  const since = signal.levelDay - RECENT_DAYS;
  const recent = jumps.filter(({ day, knock }) => day > since && !knock);
  const usualJump = recent.reduce((sum, { change }) => sum + change, 0) / Math.max(1, recent.length);
  // One jump that was mended is an accident, three are a mount.
  const loose = usualJump * Math.min(1, Math.max(0, recent.length - 1) / 2);
  const losses: { cause: Threat; lossDb: number }[] = [
    { cause: "soiling", lossDb: Math.max(falls.soiling, taken.soiling) },
    { cause: "ageing", lossDb: Math.max(falls.ageing, taken.ageing) },
    { cause: "thermal movement", lossDb: Math.max(0, range.high) * thermalShare(signal) },
    { cause: "mount that will not hold", lossDb: loose + falls.mount },
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

type Falls = { readonly soiling: number; readonly ageing: number; readonly mount: number };

const noFalls: Falls = { soiling: 0, ageing: 0, mount: 0 };
// Falls of a level that come in jumps further apart than this are a mount's: dirt settles day by day.
const STEADY_DAYS = 8;
// A level wanders with weather and haze too, some three times as much as the fleet's usual one.
const USUAL_WALKS = 3;

// What a fall has cost since it was last mended and will cost in half a year, as far as it is sure that there is one.
// The walk of the level over the square of the slope is the time between jumps that would make both.
function fallsOf(
  fit: DriftFit,
  { dirt, scale, usualWalkPerDay }: { dirt: number; scale: number; usualWalkPerDay: number },
): Falls {
  const { slope, slopeSe, df, walkPerDay, prepared, levelDay, level, quantity } = fit;
  if (slope <= 0) return noFalls;
  const sure = Math.max(0, 1 - 2 * studentUpper(slope / slopeSe, Math.max(3, df)));
  const apartDays = Math.max(0, walkPerDay - USUAL_WALKS * usualWalkPerDay) / slope ** 2;
  const jumpy = quantity === "signal" ? apartDays / (apartDays + STEADY_DAYS) : 0;
  const steady = sure * slope * (1 - jumpy) * scale;
  const lastOf = (...tasks: readonly Task[]) =>
    prepared.resets.findLast((reset) => reset.tasks.some((task) => tasks.includes(task)))?.day ?? -Infinity;
  const first = prepared.weeks.day[0] ?? levelDay;
  const held = (from: number) => Math.min(LONGEST_DAYS, levelDay - Math.max(first, from));
  const soiled = steady * dirt * held(lastOf("clean", "replace"));
  // What stays of a fall must still be there.
  const standing = Math.max(0, level * scale - soiled);
  const aged = Math.min(steady * (1 - dirt) * held(lastOf("replace")), standing);
  const loose = sure * slope * jumpy * scale;
  return {
    soiling: soiled + steady * dirt * HORIZON_DAYS,
    ageing: aged + steady * (1 - dirt) * HORIZON_DAYS,
    mount: Math.min(loose * held(lastOf("realign", "replace")), standing) + loose * HORIZON_DAYS,
  };
}

function spentShare({ level }: DriftFit): number {
  return Math.max(0, Math.min(100, level) - SPENT_PCT) / (100 - SPENT_PCT);
}
