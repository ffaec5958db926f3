import { findDetector } from "@/db/queries/detectors";
import { listEvents } from "@/db/queries/events";
import { findSite } from "@/db/queries/sites";
import { listWork } from "@/db/queries/work";
import { AppError } from "@/lib/kernel/errors";
import type { Detector } from "@/lib/records/detector";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";
import type { Context } from "@/lib/services/context";
import { readTimeline, type TimelineSpan, type TimelineView } from "@/lib/services/detector-timeline";
import { loadSettings } from "@/lib/services/load-settings";
import { requirePermission } from "@/lib/services/permissions";
import { type DetectorRowView, withBenefit } from "@/lib/services/show-detectors";
import { latestResult, type RunInView, storedDetector } from "@/lib/services/stored-result";

/** Everything the page of one detector shows. */
export type DetectorView = {
  readonly detector: Detector;
  readonly site: Site;
  /** The last analysis; null before the first. */
  readonly run: RunInView | null;
  /** What it says of this detector; null when it was not in service then, or came later. */
  readonly row: DetectorRowView | null;
  /** Share of findings that may be chance, over the fleet and for each kind. */
  readonly falseDiscoveryLimit: number;
  readonly timeline: TimelineView;
  /** All records, latest first. */
  readonly events: readonly Event[];
  readonly work: readonly Work[];
};

/** One detector with its findings, its visit and its whole record; `not_found` when there is none of this id. */
export async function showDetector(
  context: Context,
  { detectorId, span = "2y" }: { detectorId: string; span?: TimelineSpan | undefined },
): Promise<DetectorView> {
  requirePermission(context, "see");
  const { store, now } = context;
  const detector = await findDetector(store, detectorId);
  const site = detector && (await findSite(store, detector.siteId));
  if (!detector || !site) throw new AppError("not_found", `no detector ${detectorId}`);
  const run = await latestResult(store);
  const stored = run && (await storedDetector(store, { runId: run.id, detectorId }));
  const [events, work] = [
    await listEvents(store, { until: now, detectorId }),
    await listWork(store, { until: now, detectorId }),
  ];
  const row = stored && withBenefit(stored);
  const { settings } = await loadSettings(store);
  const timeline = await readTimeline(store, { detector, site, run, row, events, work, span, now });
  return {
    detector,
    site,
    run,
    row,
    falseDiscoveryLimit: settings.falseDiscoveryLimit,
    timeline,
    events: events.toReversed(),
    work: work.toReversed(),
  };
}
