import type { DetectorHistory } from "@/lib/analyse/history";
import { operationalTimes } from "@/lib/statistics/operational-time";
import { laplaceTest } from "@/lib/statistics/trend";

const PARTS = 6;
const LEAST_EVENTS = 4;
const LEAST_FREEDOM = 100;
const TRENDING_Z = 2.33;
const LEAST_ONE_SIDE = 30;
const LARGEST_Z2 = 9;

/**
 * Variance of fault clusters within detectors against chance: 1 for a Poisson process, more where bad spells last.
 *
 * Each detector's time at risk is cut in six equal parts and its counts are compared with an even spread; detectors
 * with a trend of their own (the strongest hundredth on either side) are left out, as a trend is what is looked for.
 * 1 where fewer than 100 degrees of freedom are there to tell, and never below 1.
 */
export function withinDispersion(histories: readonly DetectorHistory[]): number {
  let chiSquare = 0;
  let freedom = 0;
  for (const { exposure, faultClusters, asOf } of histories) {
    if (faultClusters.length < LEAST_EVENTS) continue;
    const { u } = operationalTimes({
      inService: exposure.faultRisk.map(({ startAt, endAt }) => [startAt, endAt] as const),
      events: faultClusters.map(({ beganAt }) => beganAt),
      asOf,
    });
    const { z } = laplaceTest(u);
    if (z === null || Math.abs(z) > TRENDING_Z) continue;
    const counts = partsOf(u);
    const expected = u.length / PARTS;
    chiSquare += counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
    freedom += PARTS - 1;
  }
  return freedom < LEAST_FREEDOM ? 1 : Math.max(1, chiSquare / freedom);
}

/** Standardised trend of one unit, the number of its events and their operational times. */
export type UnitTrend = { readonly z: number; readonly n: number; readonly times: readonly number[] };

/**
 * Variance of a trend's z against chance, for a number of events, at least 1.
 *
 * Bad spells move trends either way, a real rise or a repair that helped only one way: so each side is read alone. They
 * also make neighbouring stretches of time unlike, which a lasting step does only once: so these are read as well, and
 * the smallest of the three answers is taken. Two laws are tried and the clearer one is taken: the same excess for every unit (one cause
 * comes back after days), or one that grows with the events (the rate itself wanders); an excess inside its own error is
 * none. Bad spells of a few units show in the far tail alone, so a side's answer is never below what its strongest tenth
 * needs.
 *
 * @param otherwise - the answer where fewer than 30 units rise or fewer than 30 fall
 */
export function trendDispersion(trends: readonly UnitTrend[], otherwise: number): (events: number) => number {
  const falling = trends.filter(({ z }) => z < 0);
  const rising = trends.filter(({ z }) => z > 0);
  if (Math.min(falling.length, rising.length) < LEAST_ONE_SIDE) return () => otherwise;
  const answers = [...[falling, rising].map(dispersionOf), localDispersion(trends)];
  return (events) => Math.min(...answers.map((answer) => answer(events)));
}

// Squared differences of neighbouring parts' counts against chance (von Neumann), with the larger of both laws and one
// standard error on top. Given n events each difference has variance 2n / parts.
function localDispersion(trends: readonly UnitTrend[]): (events: number) => number {
  const excess = trends.map(({ times, n }) => {
    const counts = partsOf(times);
    const squares = counts.slice(1).reduce((sum, count, part) => sum + (count - (counts[part] ?? 0)) ** 2, 0);
    return { value: squares / ((PARTS - 1) * ((2 * n) / PARTS)) - 1, more: n - 1 };
  });
  const upper = (weights: readonly number[]) => {
    const squares = weights.reduce((sum, weight) => sum + weight * weight, 0);
    if (squares === 0) return 0;
    const slope = excess.reduce((sum, { value }, index) => sum + value * (weights[index] ?? 0), 0) / squares;
    const errors = excess.reduce((sum, { value }, index) => {
      const weight = weights[index] ?? 0;
      return sum + (weight * (value - slope * weight)) ** 2;
    }, 0);
    return Math.max(0, slope + Math.sqrt(errors) / squares);
  };
  const even = upper(excess.map(() => 1));
  const grows = upper(excess.map(({ more }) => more));
  return (events) => 1 + Math.max(even, grows * Math.max(0, events - 1));
}

function partsOf(times: readonly number[]): number[] {
  const counts = new Array<number>(PARTS).fill(0);
  for (const time of times) {
    const part = Math.min(PARTS - 1, Math.floor(time * PARTS));
    counts[part] = (counts[part] ?? 0) + 1;
  }
  return counts;
}

function dispersionOf(units: readonly UnitTrend[]): (events: number) => number {
  const excess = units.map(({ z, n }) => ({ value: Math.min(LARGEST_Z2, z * z) - 1, more: n - 1 }));
  const squares = excess.reduce((sum, { more }) => sum + more * more, 0);
  const even = excess.reduce((sum, { value }) => sum + value, 0) / excess.length;
  const grows = squares > 0 ? excess.reduce((sum, { value, more }) => sum + value * more, 0) / squares : 0;
  // The square of a standard normal has variance 2.
  const evenScore = even / Math.sqrt(2 / excess.length);
  const growsScore = squares > 0 ? grows / Math.sqrt(2 / squares) : 0;
  const least = Math.max(1, tailDispersion(units));
  if (Math.max(evenScore, growsScore) <= 1) return () => least;
  if (evenScore >= growsScore) return () => Math.max(least, 1 + even);
  return (events) => Math.max(least, 1 + grows * Math.max(0, events - 1));
}

function tailDispersion(units: readonly UnitTrend[]): number {
  const sizes = units.map(({ z }) => Math.abs(z)).sort((a, b) => a - b);
  const strong = sizes[Math.floor(0.9 * sizes.length)] ?? 0;
  // A tenth of one half of a standard normal lies beyond 1.645.
  return (strong / 1.645) ** 2;
}
