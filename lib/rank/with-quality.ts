import type { Finding } from "@/lib/analyse/finding";
import { notesFor } from "@/lib/analyse/quality/fleet-quality";
import type { QualityNote, SiteQuality } from "@/lib/analyse/quality/quality";
import type { AnalysisResult } from "@/lib/rank/result";

/**
 * An answer with the quality of the records beside what rests on them: all of it at the site, what concerns a detector
 * at the detector, and at each finding the notes that limit its kind. Order and money stay as they are.
 */
export function withQuality(result: AnalysisResult, quality: ReadonlyMap<string, SiteQuality>): AnalysisResult {
  return {
    ...result,
    sites: result.sites.map((site) => {
      const own = quality.get(site.siteId);
      return own ? { ...site, quality: own } : site;
    }),
    detectors: result.detectors.map((detector) => {
      const site = quality.get(detector.siteId);
      if (!site) return detector;
      const notes = notesFor(detector.detectorId, site);
      return { ...detector, quality: notes, findings: detector.findings.map((finding) => limited(finding, notes)) };
    }),
  };
}

function limited(finding: Finding, notes: readonly QualityNote[]): Finding {
  const limitedBy = notes.filter(({ limits }) => limits.includes(finding.kind)).map(({ sentence }) => sentence);
  return limitedBy.length > 0 ? { ...finding, limitedBy } : finding;
}
