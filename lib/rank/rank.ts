import { findAll, type Judged } from "@/lib/analyse/find";
import { sitesRising } from "@/lib/analyse/findings/rising-faults/site-rising";
import { type FleetContext, fleetContext } from "@/lib/analyse/fleet-context";
import { groupBy } from "@/lib/analyse/fleet-history";
import type { DetectorForecast } from "@/lib/analyse/forecast/detector-forecast";
import type { DetectorHistory, FleetHistory, SiteHistory } from "@/lib/analyse/history";
import { compareText } from "@/lib/kernel/text";
import { detectorRecord } from "@/lib/rank/detector-record";
import { explain } from "@/lib/rank/explain";
import { fleetResult, levelDoubtOf } from "@/lib/rank/fleet-result";
import { type LearnedEffects, learnEffects } from "@/lib/rank/learned-effects";
import { monthCounts } from "@/lib/rank/month-figures";
import type { AnalysisResult, RankedDetector } from "@/lib/rank/result";
import { type RankedMember, siteResult } from "@/lib/rank/site-result";
import { spreadAround } from "@/lib/rank/spread";
import { bestVisit, visitsFor } from "@/lib/rank/visit";
import type { Settings } from "@/lib/settings/settings";

/**
 * The whole answer as of a moment: findings, forecast and proposed visit of every detector in service, best visit
 * first, with the sites and the fleet.
 *
 * Detectors rank by net benefit of a visit to them alone, ties by detector id.
 *
 * @param horizonDays - how far ahead events are counted, above 0
 * @param fleet - the context of this history and horizon where the caller has made it already
 */
export function rankDetectors(
  history: FleetHistory,
  { horizonDays, fleet: given }: { horizonDays: number; fleet?: FleetContext },
): AnalysisResult {
  if (!(horizonDays > 0 && Number.isFinite(horizonDays)))
    throw new RangeError(`horizon must be above 0: ${horizonDays}`);
  const fleet = given ?? fleetContext(history, { horizonDays });
  const learned = effectsOf(fleet);
  const members = rankedMembers(fleet, { judgements: findAll(fleet), learned });
  const bySite = groupBy(members, ({ ranked }) => ranked.siteId);
  const { asOf, settings, firstRecordAt } = history;
  const rising = sitesRising(fleet);
  const sites = history.sites.map((site) => {
    const own = bySite.get(site.site.siteId) ?? [];
    const counts = monthCounts(
      own.map((member) => member.history),
      { site, asOf, intervalDays: settings.functionalTestIntervalDays },
    );
    return {
      counts,
      result: siteResult(site, {
        members: own,
        rising: rising.get(site.site.siteId) ?? null,
        counts,
        levelDoubt: levelDoubtOf(fleet),
        firstRecordAt,
        asOf,
        settings,
      }),
    };
  });
  return {
    asOf,
    horizonDays,
    currency: settings.currency,
    fleet: fleetResult(fleet, { members, counts: sites.map(({ counts }) => counts), effects: learned.table }),
    sites: sites.map(({ result }) => result),
    detectors: members.map(({ ranked }) => ranked),
  };
}

function effectsOf({ history, modes, horizonDays }: FleetContext): LearnedEffects {
  return learnEffects(history.detectors, history.settings, {
    causesOf: (detectorId, kind) => modes[kind].causesOf(detectorId),
    horizonDays,
  });
}

function rankedMembers(
  fleet: FleetContext,
  { judgements, learned }: { judgements: readonly Judged[]; learned: LearnedEffects },
): RankedMember[] {
  const { settings, detectors, sites } = fleet.history;
  const siteOf = new Map(sites.map((site) => [site.site.siteId, site]));
  const unranked = detectors.flatMap((history, index) => {
    const judged = judgements[index];
    const site = siteOf.get(history.detector.siteId);
    const forecast = fleet.forecasts.get(history.detector.detectorId);
    return judged && site && forecast ? [memberOf(history, { judged, site, forecast, learned, settings })] : [];
  });
  return unranked
    .sort((a, b) => printedBenefit(b) - printedBenefit(a) || compareText(a.ranked.detectorId, b.ranked.detectorId))
    .map((member, index) => ({ ...member, ranked: { ...member.ranked, rank: index + 1 } }));
}

// Benefits that print alike are ties, so that the order on paper never contradicts the figures beside it.
function printedBenefit({ ranked }: RankedMember): number {
  const { avoidedCost, cost } = ranked.visit;
  return Math.round(avoidedCost.mean * 100) - Math.round(cost * 100);
}

type Judgement = {
  readonly judged: Judged;
  readonly site: SiteHistory;
  readonly forecast: DetectorForecast;
  readonly learned: LearnedEffects;
  readonly settings: Settings;
};

function memberOf(history: DetectorHistory, { judged, site, forecast, learned, settings }: Judgement): RankedMember {
  const { detectorId, siteId, access } = history.detector;
  const { faults, unwantedAlarms } = forecast;
  const costVariance =
    settings.perFaultEpisode ** 2 * faults.variance + settings.perUnwantedAlarm ** 2 * unwantedAlarms.variance;
  const visits = visitsFor({ access, modes: forecast.modes, learned, settings });
  const visit = bestVisit(visits);
  const ranked: RankedDetector = {
    detectorId,
    siteId,
    rank: 0,
    findings: judged.findings,
    tests: judged.tests,
    expected: {
      faults: { mean: faults.mean, low: faults.low, high: faults.high },
      unwantedAlarms: { mean: unwantedAlarms.mean, low: unwantedAlarms.low, high: unwantedAlarms.high },
    },
    expectedCost: spreadAround({
      mean: settings.perFaultEpisode * faults.mean + settings.perUnwantedAlarm * unwantedAlarms.mean,
      variance: costVariance,
    }),
    visit,
    explanation: explain({
      visit,
      visits,
      moved: forecast.moves,
      expected: { fault: faults.mean, alarm: unwantedAlarms.mean },
      settings,
    }),
    record: detectorRecord(history, { judged, site, intervalDays: settings.functionalTestIntervalDays }),
  };
  return { history, ranked, costVariance };
}
