import { trendDispersion, type UnitTrend, withinDispersion } from "@/lib/analyse/dispersion";
import { type FaultCells, faultCells, faultUnit, intensityIntegral } from "@/lib/analyse/fault-cells";
import { type FleetSeason, isSouth, type SeasonShape, seasonAngle, seasonOfOthers } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { type SiteTrend, siteCourse, siteTrend } from "@/lib/analyse/site-trend";
import { DAY_MS } from "@/lib/kernel/units";
import { type CellUnit, commonProfile, profileAt, profileWithout, shrunkLevels } from "@/lib/statistics/common-profile";
import { exposureBetween, type Integral } from "@/lib/statistics/operational-time";
import { type RisingRate, risingRateTest } from "@/lib/statistics/rising-rate";

/** Days of the recent window; its later half is the second window. */
export const RECENT_DAYS = 365;
const LEAST_FLEET_EVENTS = 40;
const LEAST_EVENTS = 3;

/** One detector's faults on the operational time it is judged in. */
export type DetectorTrend = {
  readonly rate: RisingRate;
  /** Operational times at which the recent windows begin, the whole one first; empty where one side has no exposure. */
  readonly windows: readonly number[];
  /** Recent over earlier rate of its site's other detectors where they rise; 1 where they do not. */
  readonly siteRatio: number;
};

/** Trends of a fleet's faults: each detector beyond season, fleet and site; each site beyond season and fleet. */
export type FaultTrends = {
  /** By detector id; always all detectors. */
  readonly ofDetector: ReadonlyMap<string, DetectorTrend>;
  /** By site id; a site with too few events is not in it. */
  readonly ofSite: ReadonlyMap<string, SiteTrend>;
  /** Variance of a trend against chance for a number of events, at least 1. */
  readonly dispersionAt: (events: number) => number;
};

/**
 * Puts every detector's faults on operational time: exposure weighed by the season of the others, by the course of the
 * rest of the fleet over the years, and, where its site's other detectors rise, by their rise.
 *
 * The fleet's course is that of the other sites, so that a site can be set against it; detectors that depart from it
 * on either side are left out of it.
 */
export function faultTrends(
  histories: readonly DetectorHistory[],
  { asOf, season }: { asOf: number; season: FleetSeason },
): FaultTrends {
  const from = histories.reduce((first, { exposure }) => Math.min(first, exposure.faultRisk[0]?.startAt ?? asOf), asOf);
  const cells = faultCells({ from, asOf });
  const within = withinDispersion(histories);
  const members = histories.map((history) => memberOf(history, { season, cells }));
  const levelsOf = levelsByOthers(members, within);
  const ofDetector = new Map<string, DetectorTrend>();
  const ofSite = new Map<string, SiteTrend>();
  for (const [siteId, own] of bySite(members)) {
    const levels = levelsOf(siteId);
    const alone = own.map((member) => ({ ...member, trend: trendOf(member, { levels, cells, siteRatio: 1 }) }));
    const events = alone.map(({ unit, trend }) => ({ unit: weighed(unit, levels), ...trend }));
    const together = siteTrend(events);
    if (together) ofSite.set(siteId, together);
    for (const [index, member] of alone.entries()) {
      const course = siteCourse(events.filter((_, other) => other !== index));
      const trend =
        course === null
          ? member.trend
          : trendOf(member, {
              levels: levels.map((level, cell) => level * (course.levels[cell] ?? 1)),
              cells,
              siteRatio: course.ratio,
            });
      ofDetector.set(member.history.detector.detectorId, trend);
    }
  }
  return { ofDetector, ofSite, dispersionAt: trendDispersion(zOf(ofDetector), within) };
}

type Member = {
  readonly history: DetectorHistory;
  readonly shape: SeasonShape | null;
  readonly unit: CellUnit;
};

function memberOf(history: DetectorHistory, { season, cells }: { season: FleetSeason; cells: FaultCells }): Member {
  const { detector, site, faultClusters } = history;
  const angles = faultClusters.map(({ beganAt }) => seasonAngle(beganAt, isSouth(site)));
  const shape = seasonOfOthers(season, { detectorId: detector.detectorId, angles });
  const levels = new Array<number>(cells.count).fill(1);
  const integral = intensityIntegral(cells, { season: shape, south: isSouth(site), levels });
  return { history, shape, unit: faultUnit(history, { cells, integral: integral ?? plainLength }) };
}

const plainLength: Integral = (startAt, endAt) => endAt - startAt;

function levelsByOthers(members: readonly Member[], dispersion: number): (siteId: string) => number[] {
  const { level, kept } = commonProfile(members.map(({ unit }) => unit));
  const whole = members.filter((_, index) => kept.has(index));
  const sites = bySite(whole);
  const all = profileAt(unitsOf(whole), level);
  return (siteId) => {
    const others = profileWithout(all, profileAt(unitsOf(sites.get(siteId) ?? []), level));
    return shrunkLevels(others, { dispersion, least: LEAST_FLEET_EVENTS });
  };
}

function unitsOf(members: readonly Member[]): CellUnit[] {
  return members.map(({ unit }) => unit);
}

function bySite(members: readonly Member[]): Map<string, Member[]> {
  const sites = new Map<string, Member[]>();
  for (const member of members) {
    const own = sites.get(member.history.site.siteId);
    if (own) own.push(member);
    else sites.set(member.history.site.siteId, [member]);
  }
  return sites;
}

function weighed({ counts, exposures }: CellUnit, levels: readonly number[]): CellUnit {
  return { counts, exposures: exposures.map((amount, cell) => amount * (levels[cell] ?? 1)) };
}

function trendOf(
  { history, shape }: Member,
  { levels, cells, siteRatio }: { levels: readonly number[]; cells: FaultCells; siteRatio: number },
): DetectorTrend {
  const { site, asOf, exposure, faultClusters } = history;
  const integral = intensityIntegral(cells, { season: shape, south: isSouth(site), levels });
  const weighing = integral === null ? {} : { integral };
  const inService = exposure.faultRisk.map(({ startAt, endAt }) => [startAt, endAt] as const);
  const events = faultClusters.map((cluster) => cluster.beganAt);
  const rate = risingRateTest({ inService, events, asOf, recentLength: RECENT_DAYS * DAY_MS, ...weighing });
  const late = exposureBetween(inService, { from: asOf - (RECENT_DAYS / 2) * DAY_MS, until: asOf, ...weighing });
  const starts = [rate.baseline.exposure / rate.exposure, 1 - late / rate.exposure];
  return { rate, windows: starts.filter((start) => start > 0 && start < 1), siteRatio };
}

function zOf(trends: ReadonlyMap<string, DetectorTrend>): UnitTrend[] {
  return [...trends.values()].flatMap(({ rate: { n, laplace, times } }) => {
    return n >= LEAST_EVENTS && laplace.z !== null ? [{ z: laplace.z, n, times }] : [];
  });
}
