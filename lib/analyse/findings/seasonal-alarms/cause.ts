import type { Threat } from "@/lib/analyse/findings/kind";
import { type Alarm, type NullSpread, shareOf } from "@/lib/analyse/findings/seasonal-alarms/null-spread";
import type { Pattern } from "@/lib/analyse/findings/seasonal-alarms/patterns";
import { calendarWindow, isInWindow, windowGrid } from "@/lib/analyse/templates";
import type { Site } from "@/lib/records/site";

/** The cause that fits best and the pattern that speaks for it; both null where none does, or where two fit alike. */
export type BestCause = {
  readonly cause: Threat | null;
  readonly pattern: Pattern | null;
  /** A second cause that fits nearly as well, which keeps the first from being named. */
  readonly rival: Threat | null;
};

type Candidate = { readonly cause: Threat | null; readonly pattern: Pattern | null; readonly evidence: number };

// Evidence three times that of the next is where "not worth more than a bare mention" ends (Kass and Raftery 1995, from
// memory).
const CLEAR = 3;
// A window laid around the alarms' own peak fits better than one fixed beforehand; it could lie in about four places.
const FREE_PLACES = 4;

/**
 * The best-fitting cause of a detector's alarms: each candidate's alarms are a mixture of those in its window and those
 * of the null spread, with an unknown share of the former; the evidence is the mean likelihood ratio over that share.
 *
 * Candidates without a name (any season, any time of day, no pattern at all) compete too, so that a cause is named only
 * if its own window explains more.
 *
 * @param thin - alarms on days of thin margin, which dirt explains; null where there is no telling
 */
export function bestCause(patterns: readonly Pattern[], { alarms, site, spread, thin }: Surroundings): BestCause {
  const named = patterns.map((pattern): Candidate => {
    const free = pattern.cause === null ? FREE_PLACES : 1;
    const evidence = windowEvidence({ ...pattern.counted, share: pattern.evenShare }) / free;
    return { cause: pattern.cause, pattern, evidence };
  });
  const year = patterns.find(({ kind }) => kind === "year");
  const own = year === undefined ? [] : [ownWeeks(year, { alarms, site, spread })];
  const dirt = thin === null ? 0 : windowEvidence({ ...thin, share: thin.evenShare });
  const candidates: Candidate[] = [
    ...named,
    ...own,
    { cause: "soiling", pattern: null, evidence: dirt },
    { cause: null, pattern: null, evidence: 1 },
  ];
  candidates.sort((a, b) => b.evidence - a.evidence);
  const [best] = candidates;
  const rival = candidates.find(({ cause }) => cause !== best?.cause);
  if (!best || best.cause === null) return { cause: null, pattern: best?.pattern ?? null, rival: null };
  if (rival && rival.evidence * CLEAR > best.evidence) return { cause: null, pattern: null, rival: rival.cause };
  return { cause: best.cause, pattern: best.pattern, rival: null };
}

type Surroundings = {
  readonly alarms: readonly Alarm[];
  readonly site: Site;
  readonly spread: NullSpread;
  readonly thin: { readonly inside: number; readonly total: number; readonly evenShare: number } | null;
};

// Peak weeks of a site's own, in working hours: trades differ in when their stock stands high.
function ownWeeks(year: Pattern, { alarms, site, spread }: Omit<Surroundings, "thin">): Candidate {
  const cause = "seasonal stock";
  const hours = calendarWindow(cause, site)?.hours ?? { from: 0, to: 24 };
  const window = { year: year.window?.year ?? null, hours };
  const inside = alarms.filter((alarm) => isInWindow(alarm, window)).length;
  const share = shareOf(windowGrid(window), spread);
  const counted = { inside, total: alarms.length };
  const pattern: Pattern = { ...year, cause, window, inside, evenShare: share, counted };
  return { cause, pattern, evidence: windowEvidence({ ...counted, share }) / FREE_PLACES };
}

const STEPS = 50;

/**
 * Mean likelihood ratio of "some share of the alarms belongs to this window" against none, over an even prior of the
 * share; 0 for a window that holds nothing of the null spread.
 */
export function windowEvidence({ inside, total, share }: { inside: number; total: number; share: number }): number {
  if (!(share > 0)) return 0;
  let sum = 0;
  for (let step = 0; step < STEPS; step += 1) {
    const part = (step + 0.5) / STEPS;
    sum += (1 - part + part / share) ** inside * (1 - part) ** (total - inside);
  }
  return sum / STEPS;
}
