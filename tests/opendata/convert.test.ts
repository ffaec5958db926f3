import { describe, expect, test } from "vitest";
import { MINUTE_MS } from "@/lib/kernel/units";
import { eventsOf, monthSpan, readLiftMonths, readStations } from "@/tests/opendata/convert";
import { groupBy } from "@/tests/opendata/quarters";

const months = readLiftMonths();
const events = eventsOf(months);
const faults = events.filter((event) => event.condition === "fault");
const disablements = events.filter((event) => event.condition === "disablement");
const stationOf = new Map(months.map((one) => [one.lift, one.station]));

describe("the converter of lift outages", () => {
  test("reads every published row: 18,780 lift months of 391 lifts, each of a station with a place", () => {
    // Counts of the published file, stated in PROVENANCE.md.
    expect(months).toHaveLength(18_780);
    expect(stationOf.size).toBe(391);
    const places = new Set(readStations().map((one) => one.station));
    expect([...stationOf.values()].filter((station) => !places.has(station))).toEqual([]);
  });

  test("makes one fault for each unscheduled outage, in the month it is published for", () => {
    // The sum of the published column, taken with another program.
    expect(faults).toHaveLength(25_924);
    const published = new Map(months.map((one) => [`${one.lift} ${one.month}`, one.unscheduled]));
    const made = new Map<string, number>();
    for (const { lift, beganAt } of faults) {
      const key = `${lift} ${new Date(beganAt).toISOString().slice(0, 7)}`;
      made.set(key, (made.get(key) ?? 0) + 1);
    }
    for (const [key, count] of published) expect(made.get(key) ?? 0).toBe(count);
  });

  test("turns months without hours into closures, none of which hides a published unscheduled outage", () => {
    const closed = months.filter((one) => one.totalHours === 0);
    expect(closed).toHaveLength(661);
    expect(closed.filter((one) => one.unscheduled > 0)).toEqual([]);
    const scheduledElsewhere = months.filter((one) => one.totalHours > 0).reduce((sum, one) => sum + one.scheduled, 0);
    const windows = disablements.filter(({ beganAt, endedAt }) => endedAt - beganAt === 60 * MINUTE_MS);
    expect(windows).toHaveLength(scheduledElsewhere);
    const closedMs = disablements
      .filter(({ beganAt, endedAt }) => endedAt - beganAt > 60 * MINUTE_MS)
      .reduce((sum, { beganAt, endedAt }) => sum + endedAt - beganAt, 0);
    const publishedMs = closed
      .map(({ month }) => monthSpan(month))
      .reduce((sum, { startAt, endAt }) => sum + endAt - startAt, 0);
    // Fourteen closures begin with a lift's first month, all in winter: at midnight of New York, five hours later.
    expect(closedMs).toBe(publishedMs - 14 * 5 * 60 * MINUTE_MS);
  });

  test("no scheduled window covers the beginning of a fault, so that nothing is masked by a made-up moment", () => {
    const byLift = groupBy(faults, (event) => event.lift);
    for (const { lift, beganAt, endedAt } of disablements) {
      const covered = (byLift.get(lift) ?? []).filter((fault) => fault.beganAt >= beganAt && fault.beganAt <= endedAt);
      expect(covered).toEqual([]);
    }
  });

  test("two faults of one lift are never one episode: the gap between them is over 30 minutes", () => {
    for (const own of groupBy(faults, (event) => event.lift).values()) {
      const sorted = own.toSorted((a, b) => a.beganAt - b.beganAt);
      for (const [index, fault] of sorted.slice(1).entries()) {
        expect(fault.beganAt - (sorted[index]?.endedAt ?? 0)).toBeGreaterThan(30 * MINUTE_MS);
      }
    }
  });

  test("no three lifts of a station fail within ten minutes, so that no common cause is invented", () => {
    for (const own of groupBy(faults, (event) => stationOf.get(event.lift) ?? "").values()) {
      const sorted = own.toSorted((a, b) => a.beganAt - b.beganAt);
      for (const [index, fault] of sorted.slice(2).entries()) {
        expect(fault.beganAt - (sorted[index]?.beganAt ?? 0)).toBeGreaterThan(10 * MINUTE_MS);
      }
    }
  });

  test("no record reaches past the last published month", () => {
    const { endAt } = monthSpan("2025-05");
    expect(Math.max(...events.map((event) => event.endedAt))).toBeLessThanOrEqual(endAt);
  });
});
