import { type DriftFit, fitDrift, LEAST_WEEKS } from "@/lib/analyse/drift/fit";
import { chanceOfLimit, type DaysToLimit, daysToLimit } from "@/lib/analyse/drift/projection";
import { type Harmonic, yearlySwing } from "@/lib/analyse/drift/thermal";
import { type Quantity, type Segment, weeklySegments } from "@/lib/analyse/drift/weeks";
import type { Threat } from "@/lib/analyse/findings/kind";
import { isSouth } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { attenuationOfObscuration } from "@/lib/kernel/units";
import { medianOf } from "@/lib/statistics/descriptive";
import { studentUpper } from "@/lib/statistics/distributions";

/** What a detector's readings say of its drift, or why they say nothing. */
export type DriftModel =
  | {
      readonly outcome: "fitted";
      /** The quantity that reaches its limit first; the signal when neither does. */
      readonly leading: DriftFit;
      readonly fits: readonly DriftFit[];
      /** One-sided p-value of each fit: the limit is not reached for years to come. */
      readonly pValues: readonly number[];
      readonly toLimit: DaysToLimit;
      readonly chanceInHorizon: number;
      readonly threat: Threat | null;
      /** Yearly and usual daily swing of the signal, peak to peak. */
      readonly swingDb: number;
    }
  | { readonly outcome: "none"; readonly reason: string };

const MARGIN_YEARS = 5;
const REMAINING_YEARS = 2;
const LONG_WEEKS = 78;
const LEAST_TERMS = 5;
const SWING_DB = 0.35;
const RESETS = ["realign", "clean", "replace", "repair"];

/**
 * Drift models of a fleet, by detector id.
 *
 * Every beam soils a little, and a fall that leaves years until the limit is no news: each is tested against the slope
 * that would use up the whole margin in five years, or what is left of it in two, whichever is slower.
 */
export function driftModels(
  histories: readonly DetectorHistory[],
  { asOf, horizonDays }: { asOf: number; horizonDays: number },
): Map<string, DriftModel> {
  const alone = histories.map((history) => {
    const series = seriesOf(history);
    return { history, series, fits: series.map((one) => fitDrift(one.segments, { ...one, asOf, fleetSeason: null })) };
  });
  const season = fleetSeasonOf(alone.map(({ history, fits }) => ({ history, fit: fits[0] ?? null })));
  const fitted = alone.map(({ history, series, fits }) => {
    const fleetSeason = season === null || !isSouth(history.site) ? season : { cos: -season.cos, sin: -season.sin };
    const retried = fits.flatMap((fit, index) => {
      const one = series[index];
      return fit ?? (one && fleetSeason ? (fitDrift(one.segments, { ...one, asOf, fleetSeason }) ?? []) : []);
    });
    return { history, fits: retried };
  });
  return new Map(
    fitted.map(({ history, fits }) => [history.detector.detectorId, modelOf(history, { fits, asOf, horizonDays })]),
  );
}

type SeriesToFit = { readonly quantity: Quantity; readonly limit: number; readonly segments: readonly Segment[] };

function seriesOf({ signal, work, detector }: DetectorHistory): SeriesToFit[] {
  if (signal === null) return [];
  const resetsAt = work.filter(({ task }) => RESETS.includes(task)).map(({ doneAt }) => doneAt);
  const series: SeriesToFit[] = [
    {
      quantity: "signal",
      limit: attenuationOfObscuration(detector.alarmThresholdPct),
      segments: weeklySegments(signal, { quantity: "signal", resetsAt }),
    },
  ];
  const used = signal.compensationPct.filter((value) => !Number.isNaN(value));
  // A share that never moves is one that is not used.
  if (used.length > 0 && used.some((value) => Math.abs(value - (used[0] ?? 0)) >= 2)) {
    series.push({
      quantity: "compensation",
      limit: 100,
      segments: weeklySegments(signal, { quantity: "compensation", resetsAt }),
    });
  }
  return series;
}

// The yearly term of the signal of detectors with a long record, for those with a short one: the median of each
// coefficient, on the northern year.
function fleetSeasonOf(
  fitted: readonly { readonly history: DetectorHistory; readonly fit: DriftFit | null }[],
): Harmonic | null {
  const terms = fitted.flatMap(({ history, fit }) => {
    if (fit === null || fit.weeks < LONG_WEEKS) return [];
    const { perDegree, climate, season } = fit.term;
    const turn = isSouth(history.site) ? -1 : 1;
    return [{ cos: turn * (perDegree * climate.cos + season.cos), sin: turn * (perDegree * climate.sin + season.sin) }];
  });
  if (terms.length < LEAST_TERMS) return null;
  return { cos: medianOf(terms.map(({ cos }) => cos)) ?? 0, sin: medianOf(terms.map(({ sin }) => sin)) ?? 0 };
}

type Fleet = {
  readonly fits: readonly DriftFit[];
  readonly asOf: number;
  readonly horizonDays: number;
};

function modelOf(history: DetectorHistory, { fits, asOf, horizonDays }: Fleet): DriftModel {
  const [first] = fits;
  if (!first) return { outcome: "none", reason: whyNone(history) };
  const limits = fits.map((fit) => ({ fit, toLimit: daysToLimit(fit, asOf) }));
  const leading = limits.reduce((best, one) =>
    (one.toLimit.days ?? Infinity) < (best.toLimit.days ?? Infinity) ? one : best,
  );
  const pValues = fits.map((fit) => {
    const freedom = Math.max(3, fit.effectiveWeeks - 4);
    return studentUpper((fit.slope - toleratedSlope(fit)) / fit.slopeSe, freedom);
  });
  const swingDb = yearlySwing(first.term) + dailySwingDb(history);
  return {
    outcome: "fitted",
    leading: leading.fit,
    fits,
    pValues,
    toLimit: leading.toLimit,
    chanceInHorizon: Math.max(...fits.map((fit) => chanceOfLimit(fit, { asOf, horizonDays }))),
    threat: threatOf(leading.fit, { fits, pValues, swingDb }),
    swingDb,
  };
}

/** The largest rise a day that is still no news of a detector. */
function toleratedSlope({ limit, level }: DriftFit): number {
  const ofMargin = limit / MARGIN_YEARS;
  const ofRemaining = Math.max(0, limit - level) / REMAINING_YEARS;
  return Math.min(ofMargin, ofRemaining) / 365.25;
}

function threatOf(
  leading: DriftFit,
  { fits, pValues, swingDb }: { fits: readonly DriftFit[]; pValues: readonly number[]; swingDb: number },
): Threat | null {
  const compensation = fits.find((fit) => fit.quantity === "compensation");
  if (compensation && compensation.level >= 85) return "compensation at its limit";
  if (Math.min(...pValues) < 0.05 && leading.slope > 0) return "soiling";
  return swingDb >= SWING_DB ? "thermal movement" : null;
}

function dailySwingDb({ signal }: DetectorHistory): number {
  if (signal === null) return 0;
  const swings = Array.from(signal.lowestSignalPct, (low, index) => {
    const high = signal.highestSignalPct[index] ?? low;
    return low > 0 ? 10 * Math.log10(high / low) : 0;
  });
  return medianOf(swings) ?? 0;
}

function whyNone({ signal, work }: DetectorHistory): string {
  if (signal === null) return "no readings";
  const weeks = weeklySegments(signal, {
    quantity: "signal",
    resetsAt: work.filter(({ task }) => RESETS.includes(task)).map(({ doneAt }) => doneAt),
  }).filter((segment) => segment.length >= 4);
  const total = weeks.reduce((sum, segment) => sum + segment.length, 0);
  if (total < LEAST_WEEKS) return `${total} weeks of readings between resets, ${LEAST_WEEKS} are needed`;
  return "too short a record to tell drift from season without temperatures";
}
