import type { FoldChoice } from "@/lib/kernel/time";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { CanonicalRow } from "@/lib/records/canonical-row";
import type { Detector } from "@/lib/records/detector";
import type { MomentReading } from "@/lib/records/moment";
import { accepted, type Outcome, type Refusal, refused } from "@/lib/records/outcome";

/** What must be known of a detector to judge a row that names it. */
export type KnownDetector = {
  readonly timeZone: string;
  readonly installedOn: string;
  /** Instant at which that day begins at the site. */
  readonly installedAt: number;
};

/** What is known when a row is judged; it grows while sites and detectors are taken in. */
export type Directory = {
  readonly sites: ReadonlyMap<string, { readonly timeZone: string }>;
  readonly detectors: ReadonlyMap<string, KnownDetector>;
  /** Whether the sender may speak of these detectors only; a row of another is refused and does not wait. */
  readonly closed: boolean;
};

/** How far a time may lie after the moment of the import: clocks of panels and computers differ by minutes. */
export const CLOCK_SLACK_MS = 5 * MINUTE_MS;

/**
 * How far a time may lie before local midnight of the day of installation: logs in UTC, and panels that are put to work
 * in the night before, begin a little early. Exposure counts from the day itself all the same.
 */
export const INSTALLATION_SLACK_MS = DAY_MS;

/** In which zone the times of a detector's row are read; a row of an unknown detector waits for it. */
export function momentFor(
  detectorId: string,
  { directory, fold }: { directory: Directory; fold: FoldChoice },
): Outcome<MomentReading> {
  const detector = directory.detectors.get(detectorId);
  if (detector) return accepted({ zone: detector.timeZone, fold });
  if (directory.closed) {
    return refused({
      column: "detector_id",
      value: detectorId,
      reason: "is not a detector that this key may send records of; correct the id, or use the key of its site",
    });
  }
  return refused({
    column: "detector_id",
    value: detectorId,
    reason: "is not a known detector; the row waits: import the detectors file that has it, or correct the id",
    waitsFor: "detector",
  });
}

/**
 * What one row cannot know of itself: whether its site is known, and whether its time lies between the installation of
 * the detector and the moment of the import. Returns null when nothing is wrong.
 *
 * A row well before the day of installation is refused: it would count as time in service that the detector did not have.
 */
export function crossCheck(
  row: CanonicalRow,
  { directory, now }: { directory: Directory; now: number },
): Refusal | null {
  switch (row.kind) {
    case "sites":
      return null;
    case "detectors":
      return (
        dayInFuture(row.record, now) ?? (directory.sites.has(row.record.siteId) ? null : unknownSite(row.record.siteId))
      );
    case "readings":
      return outsideService(row.record.readAt, "read_at", { detectorId: row.record.detectorId, directory, now });
    case "work":
      return outsideService(row.record.doneAt, "done_at", { detectorId: row.record.detectorId, directory, now });
    case "events": {
      const { detectorId, beganAt, endedAt } = row.record;
      const began = outsideService(beganAt, "began_at", { detectorId, directory, now });
      return began ?? (endedAt === null ? null : inFuture(endedAt, "ended_at", now));
    }
  }
}

function unknownSite(siteId: string): Refusal {
  return {
    column: "site_id",
    value: siteId,
    reason: "is not a known site; the row waits: import the sites file that has it, or correct the id",
    waitsFor: "site",
  };
}

function outsideService(
  at: number,
  column: string,
  { detectorId, directory, now }: { detectorId: string; directory: Directory; now: number },
): Refusal | null {
  const detector = directory.detectors.get(detectorId);
  if (detector && at < detector.installedAt - INSTALLATION_SLACK_MS) {
    return {
      column,
      value: isoOf(at),
      reason: `is before the detector was installed on ${detector.installedOn}; correct the time, or installed_on in the detectors file`,
    };
  }
  return inFuture(at, column, now);
}

function inFuture(at: number, column: string, now: number): Refusal | null {
  if (at <= now + CLOCK_SLACK_MS) return null;
  return {
    column,
    value: isoOf(at),
    reason: `lies after the moment of this import, ${isoOf(now)}; check day, month and offset`,
  };
}

/** A day counts as begun once it has begun anywhere on earth, at UTC+14. */
function dayInFuture({ installedOn, lastServiceOn }: Detector, now: number): Refusal | null {
  const today = isoOf(now + 14 * HOUR_MS).slice(0, 10);
  const columns = [
    ["installed_on", installedOn],
    ["last_service_on", lastServiceOn],
  ] as const;
  for (const [column, day] of columns) {
    if (day === null || day <= today) continue;
    return { column, value: day, reason: `lies after the day of this import, ${today}; check the year, month and day` };
  }
  return null;
}

function isoOf(at: number): string {
  return new Date(at).toISOString();
}
