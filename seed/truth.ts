import { countBy } from "@/seed/counting";
import { lineOf } from "@/seed/csv";
import type { SiteHistory } from "@/seed/portfolio";
import type { Because } from "@/seed/records";

/** What was planted in one detector, for people who want to check the findings; never imported. */
export type Truth = {
  readonly detectorId: string;
  readonly siteId: string;
  readonly cause: string;
  readonly faults: number;
  readonly falseAlarms: number;
  /** Events of the planted cause itself, without chatter, echo and ordinary ones. */
  readonly plantedEvents: number;
  readonly realignments: number;
  readonly cleans: number;
};

/** Columns of truth.csv. */
export const truthHeader =
  "detector_id,site_id,cause,fault_records,fire_records,planted_events,reactive_realignments,cleans\n";

/** What was planted at a site, one entry per detector that is not an ordinary one. */
export function truthOf({ site, events, work }: SiteHistory): Truth[] {
  const faults = countBy(events.filter((one) => one.condition === "fault" && !atSite.has(one.because)));
  const falseAlarms = countBy(events.filter((one) => one.condition === "fire" && !atSite.has(one.because)));
  const planted = countBy(events.filter((one) => plantedBecause.has(one.because)));
  const realignments = countBy(work.filter((one) => one.task === "realign" && one.reactive));
  const cleans = countBy(work.filter((one) => one.task === "clean"));
  return site.detectors
    .filter(({ cause }) => cause !== "plain")
    .map(({ detectorId, cause }) => ({
      detectorId,
      siteId: site.siteId,
      cause,
      faults: faults.get(detectorId) ?? 0,
      falseAlarms: falseAlarms.get(detectorId) ?? 0,
      plantedEvents: planted.get(detectorId) ?? 0,
      realignments: realignments.get(detectorId) ?? 0,
      cleans: cleans.get(detectorId) ?? 0,
    }));
}

/** Line of truth.csv. */
export function truthLine(truth: Truth): string {
  return lineOf(Object.values(truth));
}

const atSite: ReadonlySet<Because> = new Set(["service", "weekly_test", "site_supply", "storm", "disabled"]);
const plantedBecause: ReadonlySet<Because> = new Set([
  "drift",
  "mount",
  "low_sun",
  "steam",
  "stock",
  "insects",
  "ageing",
  "burst",
]);
