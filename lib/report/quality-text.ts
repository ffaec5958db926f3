import type { SiteQuality } from "@/lib/analyse/quality/quality";

/** A site with what its records are like. */
export type NamedQuality = { readonly name: string; readonly quality: SiteQuality };

const MOST_NOTES = 12;

/** The quality of records for a terminal: each site in a sentence, what was seen, and what could not be looked at. */
export function qualityText(sites: readonly NamedQuality[], { asOfText }: { asOfText: string }): string {
  const clean = sites.filter(({ quality }) => quality.checks.every(({ outcome }) => outcome !== "found")).length;
  const head = `As of ${asOfText}: ${clean} of ${sites.length} sites without anything that limits what is said of them.`;
  return `${[head, ...sites.flatMap(linesOf)].join("\n")}\n`;
}

/** The same with every rule, number and note, as JSON. */
export function qualityJson(sites: readonly NamedQuality[], { asOf }: { asOf: number }): string {
  const moment = (at: number | null) => (at === null ? null : new Date(at).toISOString());
  const answer = {
    as_of: moment(asOf),
    sites: sites.map(({ name, quality }) => ({
      site_id: quality.siteId,
      name,
      sentence: quality.sentence,
      serious: quality.serious,
      checks: quality.checks.map(({ kind, outcome, sentence, rule, looked, notes }) => ({
        kind,
        outcome,
        sentence,
        rule,
        looked_at: looked,
        notes: notes.map(({ detectorId, serious, short, sentence: said, startAt, endAt, limits }) => ({
          detector_id: detectorId,
          serious,
          short,
          sentence: said,
          from: moment(startAt),
          until: moment(endAt),
          limits,
        })),
      })),
    })),
  };
  return `${JSON.stringify(answer, null, 2)}\n`;
}

function linesOf({ name, quality }: NamedQuality): string[] {
  const checks = quality.checks.flatMap(({ kind, outcome, sentence, notes }) => {
    const label = kind.replaceAll("_", " ");
    if (outcome === "fine") return [];
    if (outcome === "too_little_data") return [`  ${label}: cannot say. ${sentence}`];
    const shown = notes.slice(0, MOST_NOTES).map((note) => `    ${note.serious ? "! " : "- "}${note.sentence}`);
    const rest = notes.length > MOST_NOTES ? [`    and ${notes.length - MOST_NOTES} more (--format json)`] : [];
    return [`  ${label}: ${sentence}`, ...shown, ...rest];
  });
  return ["", `${quality.siteId}, ${name}. ${quality.sentence}`, ...checks];
}
