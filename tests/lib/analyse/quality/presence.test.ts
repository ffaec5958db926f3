import { describe, expect, it } from "vitest";
import type { ImportSpan } from "@/lib/analyse/quality/subject";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import { checkIn, FROM, qualityOf, type Raw, type SiteHabit } from "./quality-site";

const site: SiteHabit = { seed: "presence", stepMin: 360, detectors: 5, days: 420 };
const dayOf = (moment: number) => (moment - FROM) / DAY_MS;
const without =
  (from: number, until: number, wanted: (detector: number) => boolean) => (readings: Raw[], detector: number) =>
    wanted(detector) ? readings.filter((one) => dayOf(one.at) < from || dayOf(one.at) >= until) : readings;
const all = () => true;
const third = (detector: number) => detector === 2;

describe("last data", () => {
  it("says when the last reading came and how often they come", () => {
    const check = checkIn(qualityOf(site), "last_data");
    expect(check.outcome).toBe("fine");
    expect(check.sentence).toMatch(/The last reading is of 2\d February 2025, .* they usually come every 6 hours\./);
  });

  it("finds a site that fell silent, and then no single detector of it", () => {
    const check = checkIn(qualityOf(site, { change: without(410, 420, all) }), "last_data");
    expect(check.notes).toHaveLength(1);
    expect(check.notes[0]).toMatchObject({ detectorId: null, serious: true, short: "silent for 10 days", endAt: null });
  });

  it("finds a detector that stopped while its site goes on", () => {
    const check = checkIn(qualityOf(site, { change: without(400, 420, third) }), "last_data");
    expect(check.notes).toHaveLength(1);
    expect(check.notes[0]?.sentence).toMatch(
      /^D2 has sent no reading since 3 February 2025, while its site went on sending for (19|20) days/,
    );
  });

  it("waits for a detector that is read once a week as long as that takes", () => {
    const weekly = (readings: Raw[], detector: number) =>
      third(detector) ? readings.filter((_, index) => index % 28 === 0) : readings;
    const quality = qualityOf(site, { change: weekly });
    expect(checkIn(quality, "last_data").notes).toEqual([]);
    expect(checkIn(quality, "gaps").notes).toEqual([]);
  });

  it("cannot say of a site without readings whether it is quiet or cut off", () => {
    const quality = qualityOf(site, { change: () => [] });
    expect(quality.checks.map(({ kind, outcome }) => [kind, outcome])).toEqual([
      ["last_data", "too_little_data"],
      ["never_reports", "too_little_data"],
      ["gaps", "too_little_data"],
      ["late_files", "too_little_data"],
      ["clock", "too_little_data"],
      ["stuck", "too_little_data"],
      ["unrecorded_work", "too_little_data"],
    ]);
    expect(quality.sentence).toContain("7 of 7 checks could not be made");
  });
});

describe("detectors that never report", () => {
  it("finds one in service for months at a site that sends", () => {
    const check = checkIn(qualityOf(site, { silentDetectors: ["D9"] }), "never_reports");
    expect(check.notes.map(({ detectorId }) => detectorId)).toEqual(["D9"]);
    expect(check.notes[0]?.sentence).toContain("420 days");
  });
});

describe("gaps", () => {
  it("counts the days of the last 90 a site lost", () => {
    const check = checkIn(qualityOf(site, { change: without(360, 400, all) }), "gaps");
    expect(check.notes).toHaveLength(1);
    expect(check.notes[0]).toMatchObject({ detectorId: null, serious: true });
    expect(check.notes[0]?.sentence).toMatch(
      /^The site sent no readings for 40 of the last 90 days, the longest gap from 2[56] December 2024 to 4 February 2025/,
    );
    expect(check.notes[0]?.limits).toContain("rising_faults");
  });

  it("tells a detector's own gap apart from its site's, and leaves out one while it was disabled", () => {
    const change = without(360, 380, third);
    const check = checkIn(qualityOf(site, { change }), "gaps");
    expect(check.notes).toHaveLength(1);
    expect(check.notes[0]).toMatchObject({ detectorId: "D2", serious: true });
    const disablement = {
      detectorId: "D2",
      beganAt: FROM + 359 * DAY_MS,
      endedAt: FROM + 381 * DAY_MS,
      condition: "disablement",
      cause: null,
      verdict: null,
    } as const;
    expect(checkIn(qualityOf(site, { change, events: [disablement] }), "gaps").notes).toEqual([]);
  });

  it("tells no gap of single readings lost on the way", () => {
    expect(checkIn(qualityOf({ ...site, lost: 0.05 }), "gaps").outcome).toBe("fine");
  });
});

describe("late files", () => {
  const weekly = (late: Readonly<Record<number, number>>): ImportSpan[] =>
    Array.from({ length: 20 }, (_, week): ImportSpan => {
      const lastAt = FROM + (week + 1) * 7 * DAY_MS - 6 * HOUR_MS;
      const importedAt = lastAt + 8 * HOUR_MS + (week % 3) * HOUR_MS + (late[week] ?? 0) * DAY_MS;
      return { importId: week + 1, importedAt, firstAt: FROM + week * 7 * DAY_MS, lastAt, contested: 0 };
    });

  it("knows the usual lag and finds a file that came days later", () => {
    expect(checkIn(qualityOf(site, { imports: weekly({}) }), "late_files").outcome).toBe("fine");
    const check = checkIn(qualityOf(site, { imports: weekly({ 12: 5 }) }), "late_files");
    expect(check.notes.map(({ short }) => short)).toEqual(["a file came 5 days late"]);
    expect(check.sentence).toContain("Files usually come 9 hours after their newest reading");
  });

  it("takes a file of old readings that fills in for no late one, nor the first that brings the past", () => {
    const old = {
      importId: 99,
      importedAt: FROM + 150 * DAY_MS,
      firstAt: FROM - 90 * DAY_MS,
      lastAt: FROM + 60 * DAY_MS,
      contested: 0,
    };
    const past = {
      importId: 0,
      importedAt: FROM + DAY_MS,
      firstAt: FROM - 500 * DAY_MS,
      lastAt: FROM - 100 * DAY_MS,
      contested: 0,
    };
    expect(checkIn(qualityOf(site, { imports: [past, ...weekly({}), old] }), "late_files").notes).toEqual([]);
  });

  it("cannot say what is usual of four files", () => {
    const check = checkIn(qualityOf(site, { imports: weekly({}).slice(0, 5) }), "late_files");
    expect(check.outcome).toBe("too_little_data");
  });
});
