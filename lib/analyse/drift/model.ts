import { type DriftFit, fitDrift, LEAST_WEEKS } from "@/lib/analyse/drift/fit";
import { chanceOfLimit, type DaysToLimit, daysToLimit } from "@/lib/analyse/drift/projection";
import { type Harmonic, yearlySwing } from "@/lib/analyse/drift/thermal";
import { type Quantity, type Segment, weeklySegments } from "@/lib/analyse/drift/weeks";
import type { Threat } from "@/lib/analyse/findings/kind";
import { isSouth } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { medianOf } from "@/lib/analyse/median";
import { attenuationOfObscuration } from "@/lib/kernel/units";
import { studentUpper } from "@/lib/statistics/distributions";

/** What a detector's readings say of its drift, or why they say nothing. */
export type DriftModel =
  | {
      readonly outcome: "fitted";
      /** The quantity that reaches its limit first; the signal when neither does. */
      readonly leading: DriftFit;
      readonly fits: readonly DriftFit[];
      /** One-sided p-value of each fit: rising no faster than the fleet does. */
      readonly pValues: readonly number[];
      readonly toLimit: DaysToLimit;
      readonly chanceInHorizon: number;
      readonly threat: Threat | null;
      /** Yearly and usual daily swing of the signal, peak to peak. */
      readonly swingDb: number;
    }
  | { readonly outcome: "none"; readonly reason: string };

const LIMIT_YEARS = 5;
const SWING_DB = 0.35;
const RESETS = ["realign", "clean", "replace", "repair"];

/**
 * Drift models of a fleet, by detector id.
 *
 * A slow fall that the whole fleet shares is not news of one detector: each is tested against the fleet's median slope,
 * but never against more than the slope that uses up the whole margin within five years.
 */
export function driftModels(
  histories: readonly DetectorHistory[],
  { asOf, horizonDays }: { asOf: number; horizonDays: number },
): Map<string, DriftModel> {
  const prepared = histories.map((history) => ({ history, series: seriesOf(history) }));
  const season = fleetSeasonOf(prepared, asOf);
  const fitted = prepared.map(({ history, series }) => {
    const fleetSeason = season === null || !isSouth(history.site) ? season : { cos: -season.cos, sin: -season.sin };
    return { history, fits: series.flatMap((one) => fitDrift(one.segments, { ...one, asOf, fleetSeason }) ?? []) };
  });
  const usual = {
    signal: medianSlope(
      fitted.flatMap(({ fits }) => fits),
      "signal",
    ),
    compensation: medianSlope(
      fitted.flatMap(({ fits }) => fits),
      "compensation",
    ),
  };
  return new Map(
    fitted.map(({ history, fits }) => [
      history.detector.detectorId,
      modelOf(history, { fits, usual, asOf, horizonDays }),
    ]),
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

type Prepared = { readonly history: DetectorHistory; readonly series: readonly SeriesToFit[] };

// The yearly term of detectors with a long record, for those with a short one: the median of each coefficient, on the
// northern year.
function fleetSeasonOf(prepared: readonly Prepared[], asOf: number): Harmonic | null {
  const terms = prepared.flatMap(({ history, series }) => {
    const signal = series.find((one) => one.quantity === "signal");
    const long = (signal?.segments.flat().length ?? 0) >= 78;
    const fit = signal && long ? fitDrift(signal.segments, { ...signal, asOf, fleetSeason: null }) : null;
    if (!fit) return [];
    const { perDegree, climate, season } = fit.term;
    const turn = isSouth(history.site) ? -1 : 1;
    return [{ cos: turn * (perDegree * climate.cos + season.cos), sin: turn * (perDegree * climate.sin + season.sin) }];
  });
  if (terms.length < 5) return null;
  return { cos: medianOf(terms.map(({ cos }) => cos)) ?? 0, sin: medianOf(terms.map(({ sin }) => sin)) ?? 0 };
}

function medianSlope(fits: readonly DriftFit[], quantity: Quantity): number {
  return medianOf(fits.filter((fit) => fit.quantity === quantity).map((fit) => fit.slope)) ?? 0;
}

type Fleet = {
  readonly fits: readonly DriftFit[];
  readonly usual: Readonly<Record<Quantity, number>>;
  readonly asOf: number;
  readonly horizonDays: number;
};

function modelOf(history: DetectorHistory, { fits, usual, asOf, horizonDays }: Fleet): DriftModel {
  const [first] = fits;
  if (!first) return { outcome: "none", reason: whyNone(history) };
  const limits = fits.map((fit) => ({ fit, toLimit: daysToLimit(fit, asOf) }));
  const leading = limits.reduce((best, one) =>
    (one.toLimit.days ?? Infinity) < (best.toLimit.days ?? Infinity) ? one : best,
  );
  const pValues = fits.map((fit) => {
    const tolerated = Math.min(Math.max(0, usual[fit.quantity]), fit.limit / (LIMIT_YEARS * 365.25));
    return studentUpper((fit.slope - tolerated) / fit.slopeSe, Math.max(3, fit.effectiveWeeks - 4));
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
