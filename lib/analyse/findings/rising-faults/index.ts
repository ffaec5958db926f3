import { commonest } from "@/lib/analyse/episodes";
import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, type Threat, tooLittleData } from "@/lib/analyse/findings/kind";
import { effectUnit, question, sentence, tooFew, tooShort } from "@/lib/analyse/findings/rising-faults/wording";
import type { FleetContext } from "@/lib/analyse/fleet-context";
import { isSouth, seasonAngle, seasonIntegral, seasonOfOthers } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { countByMonth, lastMonths, lengthByMonth } from "@/lib/analyse/months";
import type { RateLevel, RatePicture } from "@/lib/analyse/picture";
import { chanceInWords, inWords } from "@/lib/analyse/wording";
import { lengthOf } from "@/lib/kernel/interval";
import { localDateOf } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { normalQuantile, normalUpper } from "@/lib/statistics/distributions";
import { poissonRateInterval } from "@/lib/statistics/poisson-rate";
import { type RisingRate, risingRateTest } from "@/lib/statistics/rising-rate";

const LEAST_EVENTS = 3;
const LEAST_DAYS = 180;
const LEAST_WINDOW_DAYS = 30;
const RECENT_DAYS = 365;

/** Whether a detector's fault rate is rising: exact trend test and recent-against-before, on operational time. */
export const risingFaults = {
  name: "rising_faults",
  question,
  effectUnit,
  test: testRisingFaults,
} as const satisfies FindingKind;

function testRisingFaults(history: DetectorHistory, fleet: FleetContext): TestResult {
  const events = history.faultClusters.map((cluster) => cluster.beganAt);
  const days = lengthOf(history.exposure.faultRisk) / DAY_MS;
  if (days < LEAST_DAYS) return tooLittleData(tooShort(days, LEAST_DAYS));
  if (events.length < LEAST_EVENTS) return tooLittleData(tooFew(events.length, LEAST_EVENTS));
  const rate = risingRate(history, fleet);
  const enough = Math.min(rate.recent.exposure, rate.baseline.exposure) >= LEAST_WINDOW_DAYS * DAY_MS;
  const ratio = enough ? rate.rateRatio : null;
  const pValue = guardedP(ratio === null ? rate.laplace.pRising : rate.p, fleet.faultDispersion);
  const interval = { low: ratio?.low ?? null, high: ratio?.high ?? null };
  return {
    outcome: "tested",
    pValue,
    effect: { value: ratio?.ratio ?? null, ...interval, unit: effectUnit },
    sentence: sentence({
      recent: rate.recent.count,
      before: rate.baseline.count,
      ratio: ratio?.ratio ?? null,
      ...interval,
    }),
    threat: threatOf(history, fleet),
    facts: factsOf(rate, { history, fleet, pValue }),
    picture: pictureOf(history, rate),
  };
}

function risingRate({ detector, site, exposure, faultClusters, asOf }: DetectorHistory, fleet: FleetContext) {
  const south = isSouth(site);
  const events = faultClusters.map((cluster) => cluster.beganAt);
  const angles = events.map((at) => seasonAngle(at, south));
  const season = seasonOfOthers(fleet.faultSeason, { detectorId: detector.detectorId, angles });
  return risingRateTest({
    inService: exposure.faultRisk.map(({ startAt, endAt }) => [startAt, endAt] as const),
    events,
    asOf,
    recentLength: RECENT_DAYS * DAY_MS,
    ...(season === null ? {} : { integral: seasonIntegral(season, south) }),
  });
}

// Counts that vary more than chance within detectors make every trend test too ready to speak: its z is divided by the
// square root of the fleet's dispersion, as a quasi-Poisson model does.
function guardedP(p: number, dispersion: number): number {
  if (dispersion <= 1 || p >= 0.5) return p;
  return normalUpper(-normalQuantile(Math.max(p, 1e-300)) / Math.sqrt(dispersion));
}

function threatOf(history: DetectorHistory, fleet: FleetContext): Threat | null {
  const since = history.asOf - RECENT_DAYS * DAY_MS;
  const recent = history.faults.filter((fault) => fault.beganAt >= since);
  const cause = commonest(recent.flatMap((fault) => fault.cause ?? []));
  if (cause === "path_blocked") return "blocked path";
  if (cause === "compensation_limit") return "compensation at its limit";
  const drift = fleet.drifts.get(history.detector.detectorId);
  return cause === "low_signal" && drift?.outcome === "fitted" ? drift.threat : null;
}

function factsOf(
  rate: RisingRate,
  { history, fleet, pValue }: { history: DetectorHistory; fleet: FleetContext; pValue: number },
): Fact[] {
  const forecast = fleet.forecasts.get(history.detector.detectorId);
  const { recent, baseline } = rate;
  const facts: Fact[] = [
    { label: "Fault events in the last 12 months", value: String(recent.count) },
    { label: "Fault events before", value: String(baseline.count) },
    { label: "Days at risk, last 12 months", value: String(Math.round(recent.exposure / DAY_MS)) },
    { label: "Days at risk before", value: String(Math.round(baseline.exposure / DAY_MS)) },
    { label: "Chance of a rise like this without a cause", value: chanceInWords(pValue) },
  ];
  if (forecast) {
    facts.push({
      label: `Fault episodes expected in the next ${fleet.horizonDays} days`,
      value: `${inWords(forecast.faults.mean)} (90 % interval ${inWords(forecast.faults.low)} to ${inWords(forecast.faults.high)})`,
    });
  }
  return facts;
}

function pictureOf(history: DetectorHistory, { recent, baseline }: RisingRate): RatePicture {
  const { asOf, site, exposure, faults } = history;
  const months = lastMonths(asOf, { zone: site.timeZone, count: 36 });
  const lengths = lengthByMonth(exposure.faultRisk, months);
  const counts = countByMonth(
    faults.map((fault) => fault.beganAt),
    months,
  );
  return {
    type: "rate",
    months: months.map(({ month }, index) => ({
      month,
      episodes: counts[index] ?? 0,
      exposureDays: (lengths[index] ?? 0) / DAY_MS,
    })),
    recentFrom: localDateOf(asOf - RECENT_DAYS * DAY_MS, site.timeZone),
    before: levelOf(baseline),
    recent: levelOf(recent),
  };
}

function levelOf({ count, exposure }: RisingRate["recent"]): RateLevel | null {
  return exposure > 0 ? poissonRateInterval(count, exposure / (30 * DAY_MS), { level: 0.95 }) : null;
}
