/** Events and exposure of one unit by cell of common time; equal lengths over all units. */
export type CellUnit = { readonly counts: readonly number[]; readonly exposures: readonly number[] };

/**
 * Events by cell of all units kept, and what a flat common rate would give in each; each unit weighs 1 in all, whatever
 * its number of events. `variance` is the Poisson variance of the weighed events of a cell, `events` their plain number.
 */
export type CommonProfile = {
  readonly observed: readonly number[];
  readonly expected: readonly number[];
  readonly variance: readonly number[];
  readonly events: number;
};

const ROUNDS = 3;
const STEPS = 12;
const APART_Z = 1.96;

/**
 * The common course of the rate over cells of time, each unit with a rate of its own: levels = observed / expected.
 *
 * Poisson model count = unit rate x level x exposure, fitted by proportional scaling. Units that depart from the common
 * course (|z| of their own trend beyond 1.96) are left out of the next of three rounds on either side alike, so that a
 * few which rise do not pass for the course of all.
 *
 * @param units - all with the same number of cells; those without events or exposure add nothing
 * @returns level by cell, 1 where nobody was exposed; places of the units that were kept
 * @throws RangeError for units of unequal length
 * Source: Deming and Stephan (1940), Ann. Math. Statist. 11, 427-444 (from memory). Cost: 36 passes over the cells.
 */
export function commonProfile(units: readonly CellUnit[]): {
  readonly level: readonly number[];
  readonly kept: ReadonlySet<number>;
} {
  const cells = units[0]?.counts.length ?? 0;
  for (const { counts, exposures } of units) {
    if (counts.length !== cells || exposures.length !== cells) throw new RangeError(`not ${cells} cells in each unit`);
  }
  let kept = new Set(units.keys());
  let level = new Array<number>(cells).fill(1);
  for (let round = 0; round < ROUNDS; round++) {
    const members = units.filter((_, index) => kept.has(index));
    for (let step = 0; step < STEPS; step++) {
      const profile = profileAt(members, level);
      level = profile.observed.map((count, cell) => {
        return levelOf(count, { mean: profile.expected[cell] ?? 0, variance: profile.variance[cell] ?? 0 });
      });
    }
    if (round === ROUNDS - 1) break;
    const course = level.map((_, cell) => cell);
    kept = new Set(
      [...units.entries()].flatMap(([index, unit]) => {
        return Math.abs(departure(unit, { level, course })) <= APART_Z ? [index] : [];
      }),
    );
  }
  return { level, kept };
}

// Level of a cell, half an event added on both sides; 1 where nothing was expected.
function levelOf(count: number, { mean, variance }: { mean: number; variance: number }): number {
  const half = mean > 0 ? (0.5 * variance) / mean : 0;
  return mean > 0 ? (count + half) / (mean + half) : 1;
}

/** Events of some units by cell, one vote a unit, and their expectation at the units' own rates under a course. */
export function profileAt(units: readonly CellUnit[], level: readonly number[]): CommonProfile {
  const observed = new Array<number>(level.length).fill(0);
  const expected = new Array<number>(level.length).fill(0);
  const variance = new Array<number>(level.length).fill(0);
  let total = 0;
  for (const { counts, exposures } of units) {
    let events = 0;
    let weight = 0;
    for (let cell = 0; cell < level.length; cell++) {
      events += counts[cell] ?? 0;
      weight += (exposures[cell] ?? 0) * (level[cell] ?? 1);
    }
    if (!(events > 0 && weight > 0)) continue;
    total += events;
    for (let cell = 0; cell < level.length; cell++) {
      const share = (exposures[cell] ?? 0) / weight;
      observed[cell] = (observed[cell] ?? 0) + (counts[cell] ?? 0) / events;
      expected[cell] = (expected[cell] ?? 0) + share;
      variance[cell] = (variance[cell] ?? 0) + share / events;
    }
  }
  return { observed, expected, variance, events: total };
}

/** What is left of a profile without a part of its units. */
export function profileWithout(all: CommonProfile, part: CommonProfile): CommonProfile {
  const left = (whole: readonly number[], own: readonly number[]) =>
    whole.map((value, cell) => Math.max(0, value - (own[cell] ?? 0)));
  return {
    observed: left(all.observed, part.observed),
    expected: left(all.expected, part.expected),
    variance: left(all.variance, part.variance),
    events: all.events - part.events,
  };
}

/**
 * Levels of a course, each drawn towards 1 by as much as chance may have moved it.
 *
 * The variance of true log-levels is what the observed ones vary more than chance gives (moments); with none all are 1.
 *
 * @param dispersion - variance of the counts against Poisson, at least 1
 * @param least - events below which all levels are 1
 * Source: DerSimonian and Laird (1986), Controlled Clinical Trials 7, 177-188 (from memory).
 */
export function shrunkLevels(
  { observed, expected, variance: chance, events }: CommonProfile,
  { dispersion, least }: { dispersion: number; least: number },
): number[] {
  if (events < least) return observed.map(() => 1);
  const cells = observed.map((count, cell) => {
    const mean = expected[cell] ?? 0;
    const variance = chance[cell] ?? 0;
    // Weighed by what was expected: weights by the count itself would favour the cells that fell.
    return mean > 1e-9 && variance > 1e-12
      ? { log: Math.log(levelOf(count, { mean, variance })), weight: (mean * mean) / (variance * dispersion) }
      : null;
  });
  const known = cells.filter((cell) => cell !== null);
  const weight = known.reduce((sum, cell) => sum + cell.weight, 0);
  const squares = known.reduce((sum, cell) => sum + cell.weight ** 2, 0);
  const middle = known.reduce((sum, cell) => sum + cell.weight * cell.log, 0) / weight;
  const spread = known.reduce((sum, cell) => sum + cell.weight * (cell.log - middle) ** 2, 0);
  const variance = Math.max(0, (spread - (known.length - 1)) / (weight - squares / weight));
  if (!(variance > 0)) return observed.map(() => 1);
  return cells.map((cell) => {
    return cell === null ? 1 : Math.exp(((cell.log - middle) * variance) / (variance + 1 / cell.weight));
  });
}

/**
 * Slope of one course exp(slope x) common to units with rates of their own, by conditional Poisson likelihood.
 *
 * @param course - x by cell
 * @returns slope and twice the gain in log-likelihood; both 0 without events or where x does not vary
 */
export function commonSlope(
  units: readonly CellUnit[],
  course: readonly number[],
): { readonly slope: number; readonly gain2: number } {
  let slope = 0;
  const start = slopeAt(units, course, 0);
  let here = start;
  for (let round = 0; round < 25 && here.information > 1e-12; round++) {
    const step = Math.max(-1, Math.min(1, here.score / here.information));
    slope = Math.max(-4, Math.min(4, slope + step));
    here = slopeAt(units, course, slope);
    if (Math.abs(step) < 1e-6) break;
  }
  return { slope, gain2: Math.max(0, 2 * (here.logLikelihood - start.logLikelihood)) };
}

function slopeAt(units: readonly CellUnit[], course: readonly number[], slope: number) {
  let logLikelihood = 0;
  let score = 0;
  let information = 0;
  for (const { counts, exposures } of units) {
    let events = 0;
    let moved = 0;
    let weight = 0;
    let first = 0;
    let second = 0;
    for (let cell = 0; cell < course.length; cell++) {
      const x = course[cell] ?? 0;
      const w = (exposures[cell] ?? 0) * Math.exp(slope * x);
      events += counts[cell] ?? 0;
      moved += (counts[cell] ?? 0) * x;
      weight += w;
      first += w * x;
      second += w * x * x;
    }
    if (!(events > 0 && weight > 0)) continue;
    const mean = first / weight;
    logLikelihood += slope * moved - events * Math.log(weight);
    score += moved - events * mean;
    information += events * (second / weight - mean * mean);
  }
  return { logLikelihood, score, information };
}

/** Standardised departure of a unit from a common level along a course; 0 where it cannot depart. */
export function departure(
  unit: CellUnit,
  { level, course }: { level: readonly number[]; course: readonly number[] },
): number {
  const exposures = unit.exposures.map((amount, cell) => amount * (level[cell] ?? 1));
  const { score, information } = slopeAt([{ counts: unit.counts, exposures }], course, 0);
  return information > 1e-9 ? score / Math.sqrt(information) : 0;
}
