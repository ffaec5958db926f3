import type { Prepared } from "@/lib/analyse/drift/design";
import { type DriftFit, type Explored, explore, LEAST_WEEKS, settle, usableWeeks } from "@/lib/analyse/drift/fit";
import { fleetPrior, LONG_WEEKS, type LoneFit } from "@/lib/analyse/drift/fleet-prior";
import { type HalfDay, halfDayOf } from "@/lib/analyse/drift/half-day";
import { lonePrior, turned } from "@/lib/analyse/drift/prior";
import {
  chanceOfLimit,
  chanceOfNoLimit,
  type DaysToLimit,
  daysToLimit,
  outlookOf,
} from "@/lib/analyse/drift/projection";
import { seriesOf } from "@/lib/analyse/drift/series";
import { type SignalCause, weighCauses } from "@/lib/analyse/drift/signal-causes";
import { hasOwnYear } from "@/lib/analyse/drift/terms";
import { yearlyRange } from "@/lib/analyse/drift/thermal";
import type { Quantity } from "@/lib/analyse/drift/weeks";
import { isSouth } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { medianOf } from "@/lib/statistics/descriptive";
import { studentUpper } from "@/lib/statistics/distributions";

/** What a detector's readings say of its drift. */
export type FittedDrift = {
  readonly outcome: "fitted";
  /** The quantity that reaches its limit first; the signal when neither does. */
  readonly leading: DriftFit;
  readonly fits: readonly DriftFit[];
  /** One-sided p-values of each fit: it leaves years, and it will not touch its limit within one. */
  readonly pValues: readonly number[];
  readonly toLimit: DaysToLimit;
  readonly chanceInHorizon: number;
  /** Largest first; see `signalCauses`. */
  readonly causes: readonly SignalCause[];
  /** Yearly and usual daily swing of the signal, peak to peak. */
  readonly swingDb: number;
};

/** What a detector's readings say of its drift, or why they say nothing. */
export type DriftModel = FittedDrift | { readonly outcome: "none"; readonly reason: string };

const MARGIN_YEARS = 5;
const REMAINING_YEARS = 2;

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
  const fitted = fitFleet(histories);
  const walks = fitted.flatMap(({ fits }) => fits.filter(({ quantity }) => quantity === "signal"));
  const usualWalkPerDay = medianOf(walks.map(({ walkPerDay }) => walkPerDay)) ?? 0;
  return new Map(
    fitted.map(({ history, prepared, fits }) => [
      history.detector.detectorId,
      modelOf(history, { prepared, fits, asOf, horizonDays, usualWalkPerDay }),
    ]),
  );
}

/** The fits of one detector, signal first, with what they were made from. */
export type FittedDetector = {
  readonly history: DetectorHistory;
  readonly prepared: readonly Prepared[];
  readonly fits: readonly DriftFit[];
};

/** Fits each detector by itself, learns from that what the fleet has in common, and fits again with it. */
export function fitFleet(histories: readonly DetectorHistory[]): FittedDetector[] {
  const alone = histories.map((history) => {
    const prepared = seriesOf(history);
    const halfDay = history.signal ? halfDayOf(history.signal) : stillDay;
    const explored = prepared.map((one) => explore(one, lonePrior));
    return { history, prepared, halfDay, south: isSouth(history.site), explored };
  });
  const priorOf = (quantity: Quantity) =>
    fleetPrior(
      alone.flatMap(({ explored, halfDay, south }) =>
        explored.flatMap((one) => (one?.prepared.quantity === quantity ? [{ ...loneFit(one, halfDay), south }] : [])),
      ),
    );
  const priors = { signal: priorOf("signal"), compensation: priorOf("compensation") };
  const southern = { signal: turned(priors.signal), compensation: turned(priors.compensation) };
  return alone.map(({ history, prepared, halfDay, south, explored }) => {
    const fits = prepared.flatMap((one, index) => {
      const prior = (south ? southern : priors)[one.quantity];
      const known = explored[index];
      const again = known && hasOwnYear(one) ? known : explore(one, prior);
      // Compensation has no worst hour of the day: it moves too slowly.
      return (again && settle(again, { prior, halfDay: one.quantity === "signal" ? halfDay : stillDay })) ?? [];
    });
    return { history, prepared, fits };
  });
}

// Short records lend no year, so only their evidence is needed.
function loneFit(explored: Explored, halfDay: HalfDay): Omit<LoneFit, "south"> {
  const { evidence, prepared } = explored;
  const long = usableWeeks(prepared) >= LONG_WEEKS;
  return { evidence, fit: long ? settle(explored, { prior: lonePrior, halfDay }) : null };
}

const stillDay: HalfDay = { degreesC: 0, most: 0 };

function modelOf(
  history: DetectorHistory,
  {
    prepared,
    fits,
    asOf,
    horizonDays,
    usualWalkPerDay,
  }: Pick<FittedDetector, "prepared" | "fits"> & { asOf: number; horizonDays: number; usualWalkPerDay: number },
): DriftModel {
  const [first] = fits;
  if (!first) return { outcome: "none", reason: whyNone(history, prepared) };
  const judged = fits.map((fit) => {
    const outlook = outlookOf(fit, asOf);
    return { fit, outlook, toLimit: daysToLimit(fit, outlook) };
  });
  const leading = judged.reduce((best, one) =>
    (one.toLimit.days ?? Infinity) < (best.toLimit.days ?? Infinity) ? one : best,
  );
  const pValues = judged.flatMap(({ fit, outlook }) => {
    const steeper = studentUpper((fit.slope - toleratedSlope(fit)) / fit.slopeSe, Math.max(3, fit.df));
    return [steeper, chanceOfNoLimit(fit, outlook)];
  });
  const range = yearlyRange(first.term, first.levelDay);
  return {
    outcome: "fitted",
    leading: leading.fit,
    fits,
    pValues,
    toLimit: leading.toLimit,
    chanceInHorizon: Math.max(...judged.map(({ fit, outlook }) => chanceOfLimit(fit, { outlook, horizonDays }))),
    causes: weighCauses(history, { fits, usualWalkPerDay }),
    swingDb: range.high - range.low,
  };
}

/** The largest rise a day that is still no news of a detector. */
export function toleratedSlope({ limit, level }: DriftFit): number {
  const ofMargin = limit / MARGIN_YEARS;
  const ofRemaining = Math.max(0, limit - level) / REMAINING_YEARS;
  return Math.min(ofMargin, ofRemaining) / 365.25;
}

function whyNone({ signal }: DetectorHistory, [received]: readonly Prepared[]): string {
  if (signal === null || !received) return "no readings";
  const total = usableWeeks(received);
  if (total < LEAST_WEEKS) return `${total} weeks of readings between resets, ${LEAST_WEEKS} are needed`;
  return "too short a record to tell drift from season without temperatures";
}
