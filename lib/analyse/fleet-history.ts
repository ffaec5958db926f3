import { partFaults } from "@/lib/analyse/common-cause";
import { clustersOf, episodesOf, isOwnFalseAlarm } from "@/lib/analyse/episodes";
import { exposureOf, siteHearing } from "@/lib/analyse/exposure";
import type { DetectorHistory, FleetHistory, SiteHistory } from "@/lib/analyse/history";
import { type FleetRecords, knownAt } from "@/lib/analyse/known";
import { masksOf } from "@/lib/analyse/masking";
import type { SignalSummary } from "@/lib/analyse/signal-summary";
import { contains } from "@/lib/kernel/interval";
import { compareText } from "@/lib/kernel/text";
import { startOfDay } from "@/lib/kernel/time";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import type { Settings } from "@/lib/settings/settings";

/** What a fleet's history is built from: records in any order, summaries of readings by detector id, settings. */
export type FleetInput = {
  readonly records: FleetRecords;
  readonly signals: ReadonlyMap<string, SignalSummary>;
  readonly settings: Settings;
  readonly asOf: number;
};

/**
 * Histories of all detectors in service and their sites, as of a moment.
 *
 * Nothing at or after `asOf` is used (`knownAt` cuts the records, `summariseSignal` the readings), and the order in
 * which records arrive changes nothing.
 */
export function fleetHistory({ records, signals, settings, asOf }: FleetInput): FleetHistory {
  const known = knownAt(records, asOf);
  const firstRecordAt = firstRecord(known, signals, asOf);
  const eventsOf = groupBy(known.events, (event) => event.detectorId);
  const workOf = groupBy(known.work, (work) => work.detectorId);
  const detectorsOf = groupBy(known.detectors, (detector) => detector.siteId);
  const detectors: DetectorHistory[] = [];
  const sites: SiteHistory[] = [];
  for (const site of known.sites) {
    const members = (detectorsOf.get(site.siteId) ?? []).map((detector) => ({
      detector,
      installedAt: startOfDay(detector.installedOn, site.timeZone),
      events: eventsOf.get(detector.detectorId) ?? [],
      work: workOf.get(detector.detectorId) ?? [],
      signal: signals.get(detector.detectorId) ?? null,
    }));
    const built = siteHistories({ site, members, firstRecordAt, settings, asOf });
    detectors.push(...built.detectors);
    sites.push(built.site);
  }
  detectors.sort((a, b) => compareText(a.detector.detectorId, b.detector.detectorId));
  return { asOf, firstRecordAt, detectors, sites, settings };
}

type Member = Pick<DetectorHistory, "detector" | "installedAt" | "work" | "signal"> & { readonly events: Event[] };
type SiteBuild = {
  readonly site: Site;
  readonly members: readonly Member[];
  readonly firstRecordAt: number;
  readonly settings: Settings;
  readonly asOf: number;
};

function siteHistories({ site, members, firstRecordAt, settings, asOf }: SiteBuild) {
  const hearing = siteHearing({
    signals: members.flatMap((member) => member.signal ?? []),
    eventTimes: members.flatMap((member) => member.events.map((event) => event.beganAt)),
    fleetFirstAt: firstRecordAt,
    asOf,
    silentAfterHours: settings.silentAfterHours,
  });
  const masks = new Map(
    members.map((member) => [
      member.detector.detectorId,
      masksOf({ ...member, asOf, openTestHours: settings.openTestHours }),
    ]),
  );
  const unmasked = (event: Event) => !contains(masks.get(event.detectorId)?.masked ?? [], event.beganAt);
  const faults = members
    .flatMap((member) => member.events.filter((event) => event.condition === "fault" && unmasked(event)))
    .sort((a, b) => a.beganAt - b.beganAt || compareText(a.detectorId, b.detectorId));
  const parted = partFaults(faults, {
    inServiceAt: (at) => members.filter((member) => member.installedAt <= at).length,
    windowMin: settings.commonCauseWindowMin,
    share: settings.commonCauseShare,
    least: settings.commonCauseDetectors,
    joinMin: settings.episodeJoinMin,
  });
  const ownFaults = groupBy(parted.own, (fault) => fault.detectorId);
  const detectors = members.map((member) =>
    detectorHistory(member, {
      site,
      asOf,
      settings,
      hearing,
      ownFaults: ownFaults.get(member.detector.detectorId) ?? [],
      fires: member.events.filter((event) => event.condition === "fire" && unmasked(event)),
      outOfService: masks.get(member.detector.detectorId)?.outOfService ?? [],
    }),
  );
  return { detectors, site: { site, hearing, commonCause: parted.episodes } };
}

type Surroundings = {
  readonly site: Site;
  readonly asOf: number;
  readonly settings: Settings;
  readonly hearing: SiteHistory["hearing"];
  readonly ownFaults: readonly Event[];
  readonly fires: readonly Event[];
  readonly outOfService: Parameters<typeof exposureOf>[0]["outOfService"];
};

function detectorHistory(member: Member, around: Surroundings): DetectorHistory {
  const { detector, installedAt, work, signal } = member;
  const { site, asOf, settings, hearing, outOfService } = around;
  const join = { joinMin: settings.episodeJoinMin };
  const faults = episodesOf(around.ownFaults, join);
  const fires = episodesOf(around.fires, join);
  const ownAlarms = fires.filter(isOwnFalseAlarm);
  const exposure = exposureOf({ installedAt, hearing, outOfService, faults, asOf });
  const cluster = { joinDays: settings.clusterJoinDays };
  return {
    detector,
    site,
    asOf,
    installedAt,
    exposure,
    faults,
    faultClusters: clustersOf(faults, cluster).filter(({ beganAt }) => contains(exposure.faultRisk, beganAt)),
    fires,
    ownAlarms,
    alarmClusters: clustersOf(ownAlarms, cluster).filter(({ beganAt }) => contains(exposure.observed, beganAt)),
    work,
    signal,
  };
}

function firstRecord(known: FleetRecords, signals: FleetInput["signals"], asOf: number): number {
  let first = Math.min(asOf, known.events[0]?.beganAt ?? asOf, known.work[0]?.doneAt ?? asOf);
  for (const { detectorId } of known.detectors) {
    first = Math.min(first, signals.get(detectorId)?.presence[0]?.startAt ?? first);
  }
  return first;
}

/** Rows by a key, each group in the order of the rows. */
export function groupBy<Row>(rows: readonly Row[], keyOf: (row: Row) => string): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const group = groups.get(keyOf(row));
    if (group) group.push(row);
    else groups.set(keyOf(row), [row]);
  }
  return groups;
}
