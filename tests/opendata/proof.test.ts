import { beforeAll, describe, expect, test } from "vitest";
import { writtenTables } from "@/tests/opendata/proof-page";
import { coverage, proofTables, scored } from "@/tests/opendata/proof-table";
import { bootstrapShares, meanShares } from "@/tests/opendata/quarters";
import { asOfMonths, type RankedQuarters, rankQuarters } from "@/tests/opendata/rank-quarters";

describe("the ranking on real outages of lifts", () => {
  let ranked: RankedQuarters;

  beforeAll(async () => {
    ranked = await rankQuarters();
  }, 400_000);

  test("every row of the converted files goes in", () => {
    const rows = ranked.files.map(({ name, rows }) => [name, rows]);
    // 25,924 unscheduled outages and 30,867 disablements: scheduled ones and closures.
    expect(rows).toEqual([
      ["sites.csv", 150],
      ["detectors.csv", 391],
      ["events.csv", 56_791],
    ]);
    for (const file of ranked.files) expect(file.accepted).toBe(file.rows);
  });

  test("every unscheduled outage is one episode of its lift: none is masked, joined or taken for a common cause", () => {
    expect(ranked.episodes).toEqual({ own: 25_924, commonCause: 0 });
  });

  test("every lift listed at the start of a quarter is in its ranking, and thirteen quarters are ranked", () => {
    expect(ranked.quarters).toHaveLength(asOfMonths.length);
    for (const { quarter, ranking } of ranked.quarters) {
      expect(quarter.machines.filter((machine) => !ranking.expectedFaults.has(machine))).toEqual([]);
    }
  });

  test("counting twelve months finds 23.4 % of the next quarter on average, perfect knowledge 37.6 %", () => {
    // Both taken from the published file alone with another program.
    const shares = meanShares(scored(ranked.quarters));
    expect(100 * (shares.counted ?? 0)).toBeCloseTo(23.4, 1);
    expect(100 * (shares.perfect ?? 0)).toBeCloseTo(37.6, 1);
  });

  test("the top decile of the ranking holds more than chance beyond doubt, and not clearly less than counting", () => {
    const pairs = [
      ["expected", "counted"],
      ["benefit", "counted"],
    ] as const;
    const intervals = bootstrapShares(scored(ranked.quarters), { draws: 300, seed: "test", pairs });
    expect(intervals.expected?.low).toBeGreaterThan(0.1);
    expect(intervals.benefit?.low).toBeGreaterThan(0.1);
    expect(intervals["expected - counted"]?.high).toBeGreaterThan(0);
    expect(intervals["benefit - counted"]?.high).toBeGreaterThan(0);
  });

  test("the forecasts add up to about what came, and their 90 % intervals hold between 85 and 95 % on average over the quarters", () => {
    const sum = (values: Iterable<number>) => [...values].reduce((total, value) => total + value, 0);
    const forecast = sum(
      ranked.quarters.flatMap(({ quarter, ranking }) =>
        quarter.machines.map((machine) => ranking.expectedFaults.get(machine)?.mean ?? 0),
      ),
    );
    const came = sum(ranked.quarters.flatMap(({ quarter }) => [...quarter.outcome.values()]));
    expect(forecast / came).toBeGreaterThan(0.9);
    expect(forecast / came).toBeLessThan(1.1);
    const held = sum(ranked.quarters.map(coverage)) / ranked.quarters.length;
    expect(held).toBeGreaterThanOrEqual(0.85);
    expect(held).toBeLessThanOrEqual(0.95);
  });

  test("docs/proof.md shows exactly what comes out; `npx tsx tests/opendata/write-proof.ts` renews it", () => {
    expect(writtenTables()).toBe(proofTables(ranked.quarters).trim());
  });
});
