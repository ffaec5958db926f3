import { signalCauses } from "@/lib/analyse/drift/signal-causes";
import { commonest } from "@/lib/analyse/episodes";
import { type DetectorTrend, RECENT_DAYS } from "@/lib/analyse/fault-trends";
import type { Fact, TestResult } from "@/lib/analyse/finding";
import { type FindingKind, type Threat, tooLittleData } from "@/lib/analyse/findings/kind";
import { effectUnit, question, sentence, tooFew, tooShort } from "@/lib/analyse/findings/rising-faults/wording";
import type { FindingsContext } from "@/lib/analyse/findings-context";
import type { DetectorHistory } from "@/lib/analyse/history";
import { countByMonth, lastMonths, lengthByMonth } from "@/lib/analyse/months";
import type { RateLevel, RatePicture } from "@/lib/analyse/picture";
import { chanceInWords, inWords } from "@/lib/analyse/wording";
import { lengthOf } from "@/lib/kernel/interval";
import { localDateOf } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { poissonRateInterval } from "@/lib/statistics/poisson-rate";
import { risingEvidence } from "@/lib/statistics/rising-evidence";
import type { RisingRate } from "@/lib/statistics/rising-rate";
import { risingRatioLimits } from "@/lib/statistics/rising-ratio";

const LEAST_EVENTS = 3;
const LEAST_DAYS = 180;
const LEAST_WINDOW_DAYS = 30;

/** Whether a detector's fault rate is rising: exact trend and recent windows, beyond season, fleet and site. */
export const risingFaults = {
  name: "rising_faults",
  question,
  effectUnit,
  test: testRisingFaults,
} as const satisfies FindingKind;

function testRisingFaults(history: DetectorHistory, fleet: FindingsContext): TestResult {
  const days = lengthOf(history.exposure.faultRisk) / DAY_MS;
  if (days < LEAST_DAYS) return tooLittleData(tooShort(days, LEAST_DAYS));
  const events = history.faultClusters.length;
  const trend = fleet.faultTrends.ofDetector.get(history.detector.detectorId);
  if (events < LEAST_EVENTS || !trend) return tooLittleData(tooFew(events, LEAST_EVENTS));
  const { rate, siteRatio } = trend;
  const enough = Math.min(rate.recent.exposure, rate.baseline.exposure) >= LEAST_WINDOW_DAYS * DAY_MS;
  const seen = { windows: enough ? trend.windows : [], dispersion: fleet.faultTrends.dispersionAt(rate.n) };
  const pValue = risingEvidence(rate.times, seen).rising;
  const limits = enough ? risingRatioLimits(rate.times, seen) : { low: null, high: null };
  const value = enough ? (rate.rateRatio?.ratio ?? null) : null;
  const effect = { value: value === null ? null : insideOf(value, limits), ...limits };
  return {
    outcome: "tested",
    pValue,
    effect: { ...effect, unit: effectUnit },
    sentence: sentence({
      recent: rate.recent.count,
      before: rate.baseline.count,
      ratio: effect.value,
      ...limits,
      siteRatio,
    }),
    threat: threatOf(history, fleet),
    facts: factsOf(trend, { history, fleet, pValue }),
    picture: pictureOf(history, rate),
  };
}

// The limits come from all evidence, the ratio from two counts: now and then that one lies just outside of them.
function insideOf(value: number, { low, high }: { low: number | null; high: number | null }): number {
  return Math.min(high ?? Infinity, Math.max(low ?? 0, value));
}

function threatOf(history: DetectorHistory, fleet: FindingsContext): Threat | null {
  const since = history.asOf - RECENT_DAYS * DAY_MS;
  const recent = history.faults.filter((fault) => fault.beganAt >= since);
  const cause = commonest(recent.flatMap((fault) => fault.cause ?? []));
  if (cause === "path_blocked") return "blocked path";
  if (cause === "compensation_limit") return "compensation at its limit";
  const drift = fleet.drifts.get(history.detector.detectorId);
  return cause === "low_signal" && drift ? (signalCauses(drift)[0]?.cause ?? null) : null;
}

function factsOf(
  { rate, siteRatio }: DetectorTrend,
  { history, fleet, pValue }: { history: DetectorHistory; fleet: FindingsContext; pValue: number },
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
  if (siteRatio > 1) {
    facts.push({
      label: "Rise of its site's other detectors, taken into account",
      value: `${inWords(siteRatio)} times`,
    });
  }
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
