import { describe, expect, it } from "vitest";
import { valueShift } from "@/lib/analyse/quality/shifted-values";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import { makeEvent, makeWork } from "@/tests/fixtures/records";
import {
  checkIn,
  FROM,
  healthyReadings,
  healthyWork,
  qualityOf,
  type Raw,
  type SiteHabit,
  seriesOf,
} from "./quality-site";

const hourly: SiteHabit = { seed: "readings", stepMin: 60, detectors: 5, days: 420 };
const sixHourly: SiteHabit = { seed: "readings", stepMin: 360, detectors: 5, days: 420 };
const dayOf = (moment: number) => (moment - FROM) / DAY_MS;

/** What one detector sends from one day to another, changed. */
const inDetector =
  (wanted: number, { from, until }: { from: number; until: number }, change: (one: Raw) => Raw) =>
  (readings: Raw[], detector: number) =>
    detector === wanted
      ? readings.map((one) => (dayOf(one.at) >= from && dayOf(one.at) < until ? change(one) : one))
      : readings;

describe("values that stick", () => {
  it("finds one value for four days in a detector that never stands still, with its beginning and end", () => {
    const change = inDetector(2, { from: 300, until: 304 }, (one) => ({ ...one, signal: 97.3 }));
    const check = checkIn(qualityOf(hourly, { change }), "stuck");
    expect(check.notes).toHaveLength(1);
    expect(check.notes[0]).toMatchObject({ detectorId: "D2", serious: true, limits: ["signal_drift"] });
    expect(check.notes[0]?.sentence).toMatch(
      /read 97 % in 9\d readings on end, from 27 October 2024 to 3\d October 2024/,
    );
    expect(check.notes[0]?.sentence).toContain("while its temperature went on moving");
  });

  it("leaves a quiet detector alone that is read in whole percent and stands at one value for weeks by nature", () => {
    const check = checkIn(qualityOf({ ...hourly, resolutionPct: 1, noisePct: 0.05 }), "stuck");
    expect(check.outcome).toBe("fine");
  });

  it("finds a detector that never changed at all among neighbours that do, and says nothing without neighbours", () => {
    const still = (wanted: (detector: number) => boolean) => (readings: Raw[], detector: number) =>
      wanted(detector) ? readings.map((one) => ({ ...one, signal: 100 })) : readings;
    const one = checkIn(qualityOf(sixHourly, { change: still((detector) => detector === 3) }), "stuck");
    expect(one.notes.map(({ detectorId }) => detectorId)).toEqual(["D3"]);
    const all = checkIn(qualityOf(sixHourly, { change: still(() => true) }), "stuck");
    expect(all.notes).toEqual([]);
  });

  it("does not wonder at a signal held down by a fault on record", () => {
    const change = inDetector(2, { from: 300, until: 310 }, (one) => ({ ...one, signal: 0 }));
    const fault = makeEvent({ detectorId: "D2", beganAt: FROM + 300 * DAY_MS, endedAt: FROM + 310 * DAY_MS });
    expect(checkIn(qualityOf(hourly, { change, events: [fault] }), "stuck").notes).toEqual([]);
    expect(checkIn(qualityOf(hourly, { change }), "stuck").notes).toHaveLength(1);
  });
});

describe("visits without a record", () => {
  const lower = (until: number, by: number, from = -1) =>
    inDetector(1, { from, until }, (one) => ({ ...one, signal: one.signal - by }));

  it("finds a rise to what a visit leaves, to the day, and is silent where the visit is on record", () => {
    const change = lower(300, 12);
    const check = checkIn(qualityOf(sixHourly, { change }), "unrecorded_work");
    expect(check.notes).toHaveLength(1);
    expect(check.notes[0]?.sentence).toMatch(/The signal of D1 rose from 8\d % to 9\d % about 27 October 2024/);
    expect(check.notes[0]?.limits).toContain("repeat_realignment");
    const done = makeWork({ detectorId: "D1", task: "realign", done: "2024-10-29T09:00:00Z" });
    const known = qualityOf(sixHourly, { change, work: [...healthyWork(sixHourly), done] });
    expect(checkIn(known, "unrecorded_work").notes).toEqual([]);
  });

  it("leaves open whether a beam that came back was cleared or realigned, and is silent where the path was blocked", () => {
    const change = lower(330, 30, 280);
    const check = checkIn(qualityOf(sixHourly, { change }), "unrecorded_work");
    expect(check.notes).toHaveLength(1);
    expect(check.notes[0]?.sentence).toMatch(/low since 7 October 2024, came back .* about 26 November 2024/);
    expect(check.notes[0]?.sentence).toContain("either something was taken out of the beam, or");
    const beganAt = FROM + 280 * DAY_MS;
    const fault = makeEvent({ detectorId: "D1", beganAt, endedAt: null, cause: "path_blocked" });
    expect(checkIn(qualityOf(sixHourly, { change, events: [fault] }), "unrecorded_work").notes).toEqual([]);
  });

  it("takes goods that stand in the beam for some days for no visit", () => {
    expect(checkIn(qualityOf(sixHourly, { change: lower(285, 30, 281) }), "unrecorded_work").notes).toEqual([]);
  });

  it("takes a rise that stays well below 100 % for no realignment", () => {
    const change = inDetector(1, { from: -1, until: 999 }, (one) => ({
      ...one,
      signal: one.signal - (dayOf(one.at) < 300 ? 30 : 15),
    }));
    expect(checkIn(qualityOf(sixHourly, { change }), "unrecorded_work").notes).toEqual([]);
  });
});

describe("the same values a fixed time apart", () => {
  const [readings = []] = healthyReadings({ ...hourly, temperature: false });
  const stored = seriesOf(readings);
  const part = readings.filter((one) => dayOf(one.at) >= 100 && dayOf(one.at) < 104);

  it.each([60, -60, 120])("finds a shift of %i minutes", (minutes) => {
    const sent = seriesOf(part.map((one) => ({ ...one, at: one.at + (minutes / 60) * HOUR_MS })));
    expect(valueShift(sent, stored)?.minutes).toBe(minutes);
  });

  it("finds none in other values, in too few, or where one value is repeated", () => {
    expect(valueShift(seriesOf(part.map((one, index) => ({ ...one, signal: 50 + (index % 7) }))), stored)).toBeNull();
    expect(valueShift(seriesOf(part.slice(0, 5)), stored)).toBeNull();
    const still = readings.map((one) => ({ ...one, signal: 100 }));
    expect(valueShift(seriesOf(still.slice(0, 50)), seriesOf(still))).toBeNull();
  });
});
