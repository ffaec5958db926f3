import type { QualityKind, QualityNote, SiteQuality } from "@/lib/analyse/quality/quality";
import { countInWords } from "@/lib/analyse/wording";

const ofDetectors: Readonly<Record<QualityKind, string>> = {
  last_data: "stopped sending",
  never_reports: "never sent",
  gaps: "with long gaps",
  late_files: "late",
  clock: "with a shifted clock",
  stuck: "repeating one value",
  unrecorded_work: "with missing work records",
};

/** What is seriously wrong with a site's records, in a few words for each check; single detectors are counted. */
export function seriousInShort({ checks }: SiteQuality): string[] {
  const silent = checks.some(({ kind, notes }) => kind === "last_data" && notes.some(isOfSite));
  return checks.flatMap(({ kind, notes }) => {
    // The gap of a site that fell silent is the same news.
    const serious = notes.filter((note) => note.serious && !(silent && kind === "gaps" && isOfSite(note)));
    const [ofSite] = serious.filter(isOfSite);
    if (ofSite) return [ofSite.short];
    const detectors = new Set(serious.map(({ detectorId }) => detectorId)).size;
    return detectors > 0 ? [`${countInWords(detectors, "detector")} ${ofDetectors[kind]}`] : [];
  });
}

function isOfSite({ detectorId }: QualityNote): boolean {
  return detectorId === null;
}
