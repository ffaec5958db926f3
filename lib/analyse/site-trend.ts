import { DAY_MS } from "@/lib/kernel/units";
import { type CellUnit, commonSlope, departure } from "@/lib/statistics/common-profile";
import { risingEvidence } from "@/lib/statistics/rising-evidence";
import type { RisingRate } from "@/lib/statistics/rising-rate";
import { uniformSumUpper } from "@/lib/statistics/trend";

const RECENT_CELLS = 4;
const LATE_CELLS = 2;
const LEAST_OTHERS = 2;
const LEAST_EVENTS = 6;
const RISING_P = 0.05;
const APART_Z = 1.96;

/** Faults of a site's detectors but its strongest, on their own operational times: what the site as a whole does. */
export type SiteTrend = SiteEvents & {
  readonly recent: number;
  readonly before: number;
  /** Detectors with an event, the strongest left out. */
  readonly detectors: number;
  /** Events of one detector on average. */
  readonly eventsEach: number;
};

/** Events on operational time, those of one day as one, and where the recent windows begin, weighted by events. */
export type SiteEvents = {
  readonly times: readonly number[];
  readonly windows: readonly number[];
  /** Chance of so many detectors leaning to a rise, one vote each: a site rises if its usual detector does. */
  readonly pVotes: number;
};

/** A detector of a site: its events in cells and on operational time. */
export type SiteMember = {
  readonly unit: CellUnit;
  readonly rate: RisingRate;
  readonly windows: readonly number[];
};

/**
 * A site's detectors taken together, without the one whose events lie latest: a site rises only if that does not hang
 * on one detector. Null with fewer than two others that have events, six events, or no time before the recent window.
 */
export function siteTrend(members: readonly SiteMember[]): SiteTrend | null {
  const rest = withoutStrongest(members);
  const pooled = pool(rest);
  const [first] = pooled.windows;
  if (rest.length < LEAST_OTHERS || pooled.times.length < LEAST_EVENTS || first === undefined) return null;
  const recent = pooled.times.filter((time) => time > first).length;
  return {
    ...pooled,
    recent,
    before: pooled.times.length - recent,
    detectors: rest.length,
    eventsEach: pooled.times.length / rest.length,
  };
}

/**
 * The rise of a detector's neighbours: levels by cell and recent over earlier level; null where they do not rise.
 *
 * They rise where, without their strongest detector, both their events taken together and their votes have p at most
 * 5 %. Of a step a year ago, a step half a year ago and a steady climb, the one that fits best is taken.
 */
export function siteCourse(
  others: readonly SiteMember[],
): { readonly levels: readonly number[]; readonly ratio: number } | null {
  const rest = withoutStrongest(others);
  const { times, windows, pVotes } = pool(rest);
  if (times.length < LEAST_EVENTS || rest.length < LEAST_OTHERS) return null;
  if (pVotes > RISING_P || risingEvidence(times, { windows }).rising > RISING_P) return null;
  const units = rest.map(({ unit }) => unit);
  const count = units[0]?.counts.length ?? 0;
  const best = coursesOf(count)
    .map((course) => ({ course, ...usualSlope(units, course) }))
    .reduce((one, other) => (other.gain2 > one.gain2 ? other : one));
  if (!(best.slope > 0)) return null;
  const levels = best.course.map((x) => Math.exp(best.slope * x));
  const recent = meanOf(levels.slice(-RECENT_CELLS));
  return { levels, ratio: count > RECENT_CELLS ? recent / meanOf(levels.slice(0, -RECENT_CELLS)) : 1 };
}

// The slope of the usual detector: those that depart from the common one are left out of the next round.
function usualSlope(units: readonly CellUnit[], course: readonly number[]) {
  let fit = commonSlope(units, course);
  for (let round = 0; round < 2; round++) {
    const level = course.map((x) => Math.exp(fit.slope * x));
    fit = commonSlope(
      units.filter((unit) => Math.abs(departure(unit, { level, course })) <= APART_Z),
      course,
    );
  }
  return fit;
}

function coursesOf(count: number): number[][] {
  const cells = Array.from({ length: count }, (_, cell) => cell);
  return [
    cells.map((cell) => (cell >= count - RECENT_CELLS ? 1 : 0)),
    cells.map((cell) => (cell >= count - LATE_CELLS ? 1 : 0)),
    cells.map((cell) => cell / Math.max(1, count - 1)),
  ];
}

// The one whose events lie latest, all taken together.
function withoutStrongest(members: readonly SiteMember[]): SiteMember[] {
  const withEvents = members.filter(({ rate }) => rate.n > 0);
  const pull = ({ rate }: SiteMember) => rate.times.reduce((sum, time) => sum + time - 0.5, 0);
  let strongest = 0;
  for (const [index, member] of withEvents.entries()) {
    const leader = withEvents[strongest];
    if (leader && pull(member) > pull(leader)) strongest = index;
  }
  return withEvents.filter((_, index) => index !== strongest);
}

function pool(members: readonly SiteMember[]): SiteEvents {
  const events = members.flatMap(({ rate }) => rate.times.map((time, index) => ({ time, at: rate.at[index] ?? 0 })));
  events.sort((a, b) => a.at - b.at || a.time - b.time);
  const times: number[] = [];
  let lastDay = Number.NEGATIVE_INFINITY;
  for (const { time, at } of events) {
    // One cause of a day that struck several detectors is one event of the site.
    if (at - lastDay < DAY_MS) continue;
    lastDay = at;
    times.push(time);
  }
  const watched = members.filter(({ windows, rate }) => windows.length === 2 && rate.n > 0);
  const weight = watched.reduce((sum, { rate }) => sum + rate.n, 0);
  const windows = [0, 1].map(
    (which) => watched.reduce((sum, one) => sum + one.rate.n * (one.windows[which] ?? 0), 0) / weight,
  );
  const votes = members.flatMap(({ rate }) => (rate.n > 0 ? [1 - rate.laplace.pRising] : []));
  const sum = votes.reduce((total, vote) => total + vote, 0);
  return {
    times,
    windows: weight > 0 ? windows : [],
    pVotes: votes.length === 0 ? 1 : uniformSumUpper(sum, votes.length),
  };
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
