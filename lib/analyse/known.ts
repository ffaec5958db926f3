import { compareText } from "@/lib/kernel/text";
import { startOfDay, type TimeZone } from "@/lib/kernel/time";
import type { Detector } from "@/lib/records/detector";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";

/** The records of a fleet but its readings; in any order. */
export type FleetRecords = {
  readonly sites: readonly Site[];
  readonly detectors: readonly Detector[];
  readonly events: readonly Event[];
  readonly work: readonly Work[];
};

/**
 * What was known of a fleet at a moment: the one place where records after `asOf` are cut off.
 *
 * Detectors installed later and sites without a detector in service are left out; an event that ends later counts as
 * still open; a service noted for a later day is forgotten. Lists come back in an order of their own, so that the order
 * of import changes nothing.
 */
export function knownAt(records: FleetRecords, asOf: number): FleetRecords {
  const zoneOf = new Map(records.sites.map((site) => [site.siteId, site.timeZone]));
  const detectors = records.detectors
    .filter((detector) => {
      const zone = zoneOf.get(detector.siteId);
      return zone !== undefined && startOfDay(detector.installedOn, zone) < asOf;
    })
    .map((detector) => forgetLaterService(detector, { asOf, zone: zoneOf.get(detector.siteId) ?? "UTC" }))
    .sort((a, b) => compareText(a.detectorId, b.detectorId));
  const inService = new Set(detectors.map((detector) => detector.detectorId));
  const usedSites = new Set(detectors.map((detector) => detector.siteId));
  return {
    sites: records.sites.filter((site) => usedSites.has(site.siteId)).sort((a, b) => compareText(a.siteId, b.siteId)),
    detectors,
    events: records.events
      .filter((event) => event.beganAt < asOf && inService.has(event.detectorId))
      .map((event) => (event.endedAt !== null && event.endedAt >= asOf ? { ...event, endedAt: null } : event))
      .sort(byMoment),
    work: records.work
      .filter((work) => work.doneAt < asOf && inService.has(work.detectorId))
      .sort((a, b) => a.doneAt - b.doneAt || compareText(a.detectorId, b.detectorId) || compareText(a.task, b.task)),
  };
}

function byMoment(a: Event, b: Event): number {
  return a.beganAt - b.beganAt || compareText(a.detectorId, b.detectorId) || compareText(a.condition, b.condition);
}

function forgetLaterService(detector: Detector, { asOf, zone }: { asOf: number; zone: TimeZone }): Detector {
  if (detector.lastServiceOn === null || startOfDay(detector.lastServiceOn, zone) < asOf) return detector;
  return { ...detector, lastServiceOn: null };
}
