import { describe, expect, it } from "vitest";
import { trendDispersion } from "@/lib/analyse/dispersion";
import { sitesRising } from "@/lib/analyse/findings/rising-faults/site-rising";
import { findingsContext } from "@/lib/analyse/findings-context";
import { siteCourse, siteTrend } from "@/lib/analyse/site-trend";
import { seededChance } from "@/lib/kernel/chance";
import { risingRateTest } from "@/lib/statistics/rising-rate";
import { laplaceTest } from "@/lib/statistics/trend";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent, makeSite } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const FROM = "2022-01-01";
const asOf = at("2026-01-01");

/** Fault days of a detector: evenly every `gap` days, with a shift, and every `late` days in the last year. */
function faults(detectorId: string, { gap, shift, late }: { gap: number; shift: number; late?: number }) {
  const days: number[] = [];
  for (let day = 20 + shift; day < 1455; day += day > 1096 && late !== undefined ? late : gap) days.push(day);
  return days.map((day) => makeEvent({ detectorId, beganAt: Math.round(at(FROM) + day * DAY_MS) }));
}

/** Six sites of eight detectors; the detectors of `risers` have many more faults in the last year. */
function contextOf(risers: (id: string) => boolean) {
  const sites = Array.from({ length: 6 }, (_, index) => makeSite({ siteId: `S${index}` }));
  const detectors = sites.flatMap(({ siteId }) =>
    Array.from({ length: 8 }, (_, index) =>
      makeDetector({ detectorId: `${siteId}D${index}`, siteId, installedOn: FROM }),
    ),
  );
  const events = detectors.flatMap(({ detectorId }, index) =>
    faults(detectorId, {
      gap: 170 + (index % 7) * 9,
      shift: (index * 37) % 150,
      ...(risers(detectorId) ? { late: 31 + (index % 5) } : {}),
    }),
  );
  return findingsContext(makeHistory({ asOf, records: { sites, detectors, events, work: [] } }), { horizonDays: 90 });
}

describe("trends of a fleet's faults", () => {
  it("a detector that rises alone is judged on its own, its site does not rise with it", () => {
    const context = contextOf((id) => id === "S2D3");
    const trend = context.faultTrends.ofDetector.get("S2D3");
    expect(trend?.siteRatio).toBe(1);
    expect(trend?.rate.laplace.pRising).toBeLessThan(0.01);
    expect(sitesRising(context).get("S2")?.siteWide).toBe(false);
  });

  it("a site that rises as a whole is named once, and its detectors are judged beyond it", () => {
    const context = contextOf((id) => id.startsWith("S2"));
    const sites = sitesRising(context);
    expect([...sites].filter(([, { siteWide }]) => siteWide).map(([siteId]) => siteId)).toEqual(["S2"]);
    expect(sites.get("S2")?.low).toBeGreaterThan(1);
    expect(sites.get("S2")?.sentence).toMatch(/^Site-wide rise: \d+ faults/);
    const { ofDetector } = context.faultTrends;
    expect(ofDetector.get("S2D3")?.siteRatio).toBeGreaterThan(2);
    expect(ofDetector.get("S2D3")?.rate.laplace.pRising).toBeGreaterThan(0.05);
    expect(ofDetector.get("S1D3")?.siteRatio).toBe(1);
  });

  it("where nothing rises no site is named", () => {
    const sites = [...sitesRising(contextOf(() => false)).values()];
    expect(sites.length).toBeGreaterThan(0);
    expect(sites.some(({ siteWide }) => siteWide)).toBe(false);
  });
});

/** A member whose events lie at these shares of four years in sixteen cells. */
function member(shares: readonly number[]) {
  const span = 1460 * DAY_MS;
  const rate = risingRateTest({
    inService: [[0, span]],
    events: shares.map((share) => share * span),
    asOf: span,
    recentLength: 365 * DAY_MS,
  });
  const counts = new Array<number>(16).fill(0);
  for (const share of shares) counts[Math.floor(share * 16)] = (counts[Math.floor(share * 16)] ?? 0) + 1;
  return { unit: { counts, exposures: counts.map(() => 1) }, rate, windows: [0.75, 0.875] };
}

const steady = (shift: number) => member([0.1, 0.3, 0.5, 0.7, 0.9].map((share) => share + shift));
const late = (shift: number) => member([0.3, 0.78, 0.82, 0.86, 0.9, 0.94].map((share) => share + shift));

describe("detectors of a site taken together", () => {
  it("without the strongest: one that rises among steady ones is left out", () => {
    const trend = siteTrend([steady(0.01), steady(0.03), steady(0.05), late(0)]);
    expect(trend).toMatchObject({ detectors: 3, recent: 3, before: 12 });
    expect(siteCourse([steady(0.01), steady(0.03), steady(0.05), late(0)])).toBeNull();
  });

  it("all late rise, by a step of a year where that is what they did", () => {
    const course = siteCourse([0.001, 0.006, 0.011, 0.016, 0.021].map(late));
    expect(course?.ratio).toBeGreaterThan(5);
    expect(course?.levels[0]).toBeLessThan(course?.levels[15] ?? 0);
  });

  it("too few detectors or events say nothing", () => {
    expect(siteTrend([steady(0.01), late(0)])).toBeNull();
    expect(siteCourse([])).toBeNull();
  });
});

describe("the guard against bad spells", () => {
  const chance = seededChance("guard");
  const unit = (times: number[]) => ({ z: laplaceTest(times).z ?? 0, n: times.length, times });
  const even = Array.from({ length: 200 }, () => unit(Array.from({ length: 8 }, () => chance())));
  const spells = Array.from({ length: 200 }, () => {
    const spell = 0.9 * chance();
    return unit([
      ...Array.from({ length: 4 }, () => spell + 0.08 * chance()),
      ...Array.from({ length: 4 }, () => chance()),
    ]);
  });
  const repaired = Array.from({ length: 40 }, () => unit(Array.from({ length: 8 }, () => 0.5 * chance())));

  it("is up where most events of every detector come in one spell, and not where they are even", () => {
    expect(trendDispersion(even, 1)(8)).toBeLessThan(1.25);
    expect(trendDispersion(spells, 1)(8)).toBeGreaterThan(1.5);
  });

  it("repairs that helped are no bad spells", () => {
    expect(trendDispersion([...even, ...repaired], 1)(8)).toBeLessThan(1.4);
  });

  it("with fewer than thirty on a side the answer given stands", () => {
    expect(trendDispersion(even.slice(0, 40), 1.7)(5)).toBe(1.7);
  });
});
