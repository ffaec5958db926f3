import type { DriftModel } from "@/lib/analyse/drift/model";
import { seriesOf } from "@/lib/analyse/drift/series";
import { groupBy } from "@/lib/analyse/fleet-history";
import type { DetectorHistory, FleetHistory, SiteHistory } from "@/lib/analyse/history";
import { clock } from "@/lib/analyse/quality/checks/clock";
import { gaps } from "@/lib/analyse/quality/checks/gaps";
import { lastData } from "@/lib/analyse/quality/checks/last-data";
import { lateFiles } from "@/lib/analyse/quality/checks/late-files";
import { neverReports } from "@/lib/analyse/quality/checks/never-reports";
import { stuck } from "@/lib/analyse/quality/checks/stuck";
import { unrecordedWork } from "@/lib/analyse/quality/checks/unrecorded-work";
import type { QualityCheck, QualityNote, SiteQuality } from "@/lib/analyse/quality/quality";
import type { ReadingTrace } from "@/lib/analyse/quality/reading-trace";
import type { ShiftedFile } from "@/lib/analyse/quality/shifted-values";
import type { ImportSpan, QualityMember, QualitySubject } from "@/lib/analyse/quality/subject";
import { countInWords } from "@/lib/analyse/wording";
import { medianOf } from "@/lib/statistics/descriptive";

/** What the quality of a fleet's records is judged from, besides its history. */
export type QualityEvidence = {
  /** By detector id. */
  readonly traces: ReadonlyMap<string, ReadingTrace>;
  /** By site id; standing imports only, by their first reading. */
  readonly imports: ReadonlyMap<string, readonly ImportSpan[]>;
  /** By site id. */
  readonly shiftedFiles: ReadonlyMap<string, readonly ShiftedFile[]>;
  /** By detector id, where they were made already. */
  readonly drifts?: ReadonlyMap<string, DriftModel>;
};

/** The quality of the records of every site, by site id. Cost: O(detectors × days) on top of the traces. */
export function fleetQuality(history: FleetHistory, evidence: QualityEvidence): Map<string, SiteQuality> {
  const bySite = groupBy(
    history.detectors.map((detector) => memberOf(detector, evidence)),
    (member) => member.history.detector.siteId,
  );
  return new Map(
    history.sites.map((site) => {
      const { siteId } = site.site;
      const subject = subjectOf(site, { history, members: bySite.get(siteId) ?? [], evidence });
      return [siteId, siteQuality(siteId, checksOf(subject))];
    }),
  );
}

/** What limits what is said of a detector: its own notes and those of its site, serious ones first. */
export function notesFor(detectorId: string, { checks }: SiteQuality): QualityNote[] {
  const notes = checks.flatMap((check) => check.notes);
  return seriousFirst(notes.filter((note) => note.detectorId === detectorId || note.detectorId === null));
}

/** Notes with the serious ones first, else in the order given. */
export function seriousFirst(notes: readonly QualityNote[]): QualityNote[] {
  return [...notes.filter(({ serious }) => serious), ...notes.filter(({ serious }) => !serious)];
}

function checksOf(subject: QualitySubject): QualityCheck[] {
  return [lastData, neverReports, gaps, lateFiles, clock, stuck, unrecordedWork].map((check) => check(subject));
}

function memberOf(history: DetectorHistory, { traces, drifts }: QualityEvidence): QualityMember {
  const { detectorId } = history.detector;
  const drift = drifts?.get(detectorId);
  const fitted = drift?.outcome === "fitted" ? drift.fits.find(({ quantity }) => quantity === "signal") : undefined;
  return {
    history,
    trace: traces.get(detectorId) ?? null,
    prepared: fitted?.prepared ?? seriesOf(history)[0] ?? null,
  };
}

function subjectOf(
  site: SiteHistory,
  {
    history,
    members,
    evidence,
  }: { history: FleetHistory; members: readonly QualityMember[]; evidence: QualityEvidence },
): QualitySubject {
  const { siteId } = site.site;
  return {
    site,
    members,
    imports: evidence.imports.get(siteId) ?? [],
    shiftedFiles: evidence.shiftedFiles.get(siteId) ?? [],
    intervalMs: medianOf(members.flatMap((member) => member.history.signal?.usualIntervalMs ?? [])),
    silentAfterHours: history.settings.silentAfterHours,
    asOf: history.asOf,
  };
}

function siteQuality(siteId: string, checks: readonly QualityCheck[]): SiteQuality {
  const notes = checks.flatMap((check) => check.notes);
  const serious = notes.filter((note) => note.serious).length;
  const blind = checks.filter(({ outcome }) => outcome === "too_little_data").length;
  const unseen = blind === 0 ? "" : ` ${blind} of ${checks.length} checks could not be made.`;
  const said =
    notes.length === 0
      ? "Nothing was seen in its records that limits what is said of this site."
      : `${countInWords(notes.length, "thing")} in its records limit${notes.length === 1 ? "s" : ""} what can be said${serious > 0 ? `, ${serious} of them seriously` : ""}.`;
  return { siteId, sentence: said + unseen, serious, checks };
}
