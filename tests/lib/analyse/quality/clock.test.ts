import { describe, expect, it } from "vitest";
import type { QualityNote } from "@/lib/analyse/quality/quality";
import type { ImportSpan } from "@/lib/analyse/quality/subject";
import { offsetMsAt } from "@/lib/kernel/time";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import { at } from "@/tests/fixtures/records";
import { checkIn, FROM, qualityOf, type Raw, type SiteHabit } from "./quality-site";

const sixHourly: SiteHabit = { seed: "clock", stepMin: 360, jitterMin: 6, detectors: 5, days: 420 };
const hourly: SiteHabit = { seed: "clock", stepMin: 60, detectors: 5, days: 420 };

const dayOf = (moment: number) => (moment - FROM) / DAY_MS;
const moved = (from: number, to: number, minutes: number) => (readings: Raw[]) =>
  readings.map((one) =>
    dayOf(one.at) >= from && dayOf(one.at) < to ? { ...one, at: one.at + minutes * MINUTE_MS } : one,
  );

/** Monthly files, the one of `shifted` moved by `minutes`, with the readings it disagrees about at its end. */
function monthlyFiles({ shifted, minutes }: { shifted: number; minutes: number }): ImportSpan[] {
  return Array.from({ length: 14 }, (_, index): ImportSpan => {
    const by = index === shifted ? minutes * MINUTE_MS : 0;
    const firstAt = FROM + index * 30 * DAY_MS + by;
    const quarrels = minutes !== 0 && (index === shifted || index === shifted + 1);
    return {
      importId: index + 1,
      importedAt: firstAt + 31 * DAY_MS,
      firstAt,
      lastAt: firstAt + 30 * DAY_MS - HOUR_MS,
      contested: quarrels ? 5 : 0,
    };
  });
}

function only(notes: readonly QualityNote[]): QualityNote {
  expect(notes).toHaveLength(1);
  const [note] = notes;
  if (!note) throw new Error("no note");
  return note;
}

describe("the clock of a site", () => {
  it.each(["utc", "wall"] as const)(
    "finds nothing where a logger keeps %s throughout, over two changes to summer time",
    (keeps) => {
      const check = checkIn(qualityOf({ ...sixHourly, keeps }), "clock");
      expect(check.outcome).toBe("fine");
      expect(check.notes).toEqual([]);
    },
  );

  it("dates and sizes a jump of the whole site by an hour, readings every six hours a few minutes late", () => {
    const check = checkIn(qualityOf(sixHourly, { change: moved(250, 420, 60) }), "clock");
    const note = only(check.notes);
    expect(note.sentence).toMatch(/jumped on 7 September 2024: its readings stand (59|60|61) minutes .* later/);
    expect(note).toMatchObject({
      serious: true,
      detectorId: null,
      startAt: FROM + 250 * DAY_MS,
      limits: ["seasonal_alarms"],
    });
  });

  it("does not take the change of one detector for the clock of the site", () => {
    const change = (readings: Raw[], detector: number) => (detector === 2 ? moved(250, 420, 60)(readings) : readings);
    expect(checkIn(qualityOf(sixHourly, { change }), "clock").outcome).toBe("fine");
  });

  it("tells a file that was shifted by an hour as a whole, with the import that brought it", () => {
    const change = moved(210, 240, 60);
    const check = checkIn(
      qualityOf(sixHourly, { change, imports: monthlyFiles({ shifted: 7, minutes: 60 }) }),
      "clock",
    );
    const note = only(check.notes);
    expect(note.sentence).toMatch(/^From 29 July 2024 to 27 August 2024 readings stand/);
    expect(note.sentence).toContain("That is import 8: its file seems to be shifted as a whole.");
    expect(note.serious).toBe(true);
  });

  it("sees in the course of the day what an hourly grid hides, and nothing where none was shifted", () => {
    const note = only(checkIn(qualityOf(hourly, { change: moved(200, 230, 60) }), "clock").notes);
    expect(note.sentence).toMatch(
      /the course of the day stands \d+ minutes \(95 % interval \d+ to \d+\) later than before/,
    );
    const minutes = Number(/stands (\d+) minutes/.exec(note.sentence)?.[1]);
    expect(Math.abs(minutes - 60)).toBeLessThan(25);
    expect(checkIn(qualityOf(hourly), "clock").outcome).toBe("fine");
  });

  it("lets heating that follows the wall clock turn the course of the day when summer time begins and ends", () => {
    const change = (readings: Raw[]) =>
      readings.map((one) => {
        const summer = offsetMsAt(one.at, "Europe/Helsinki") - 2 * HOUR_MS;
        const heating = 5 * Math.cos((2 * Math.PI * (one.at + summer - at("2024-01-01T13:00:00Z"))) / DAY_MS);
        return { ...one, temperature: one.temperature + heating };
      });
    expect(checkIn(qualityOf(hourly, { change }), "clock").outcome).toBe("fine");
  });

  it("tells an hourly file without temperatures shifted by an hour from the room before and behind it", () => {
    const habit = { ...hourly, temperature: false, noisePct: 2 };
    const imports = monthlyFiles({ shifted: 5, minutes: 60 });
    const note = only(checkIn(qualityOf(habit, { imports }), "clock").notes);
    expect(note.sentence).toMatch(/^Import 6, .* leaves 60 minutes more room before it and as much less behind it/);
    expect(checkIn(qualityOf(habit, { imports: monthlyFiles({ shifted: 5, minutes: 0 }) }), "clock").outcome).toBe(
      "fine",
    );
  });

  it("does not take a file whose window was moved, and which repeats its neighbour, for a shifted one", () => {
    const imports = monthlyFiles({ shifted: 5, minutes: 60 }).map((file) => ({ ...file, contested: 0 }));
    const habit = { ...hourly, temperature: false, noisePct: 2 };
    expect(checkIn(qualityOf(habit, { imports }), "clock").outcome).toBe("fine");
  });

  it("doubts two files that contradict each other only in the hour in which they meet", () => {
    const habit = { ...hourly, temperature: false, noisePct: 2 };
    const file = (importId: number, from: number, until: number, contested: number): ImportSpan => ({
      importId,
      importedAt: FROM + 400 * DAY_MS,
      firstAt: FROM + from * DAY_MS,
      lastAt: FROM + until * DAY_MS - HOUR_MS,
      contested,
    });
    const early = (contested: number) => [file(1, 0, 200, contested), file(2, 200 - 1 / 24, 400, contested)];
    const note = only(checkIn(qualityOf(habit, { imports: early(5) }), "clock").notes);
    expect(note.sentence).toMatch(/^Import 2 begins on .* before import 1 ends and says something else in 5 readings/);
    expect(note.serious).toBe(false);
    // The same hour repeated word for word is a window that overlaps; many more quarrels are a correction.
    expect(checkIn(qualityOf(habit, { imports: early(0) }), "clock").notes).toEqual([]);
    expect(checkIn(qualityOf(habit, { imports: early(500) }), "clock").notes).toEqual([]);
  });

  it("finds the same readings brought twice, once an hour late", () => {
    const change = (readings: Raw[]) => [
      ...readings,
      ...readings
        .filter((one) => dayOf(one.at) >= 300 && dayOf(one.at) < 320)
        .map((one) => ({ ...one, at: one.at + HOUR_MS })),
    ];
    const check = checkIn(qualityOf({ ...sixHourly, jitterMin: 0 }, { change }), "clock");
    expect(check.notes.map(({ sentence }) => sentence).join()).toMatch(/\d+ readings stand twice, 60 minutes apart/);
  });

  it("measures a drift of two minutes a month with its interval", () => {
    const drifting = (readings: Raw[]) =>
      readings.map((one) => ({ ...one, at: Math.round(one.at + (dayOf(one.at) / 30) * 2 * MINUTE_MS) }));
    const note = only(checkIn(qualityOf(sixHourly, { change: drifting }), "clock").notes);
    const [, rate, low, high] =
      /stand ([\d.]+) minutes a month later \(99 % interval ([\d.]+) to ([\d.]+)\)/.exec(note.sentence) ?? [];
    expect(Number(low)).toBeLessThanOrEqual(2);
    expect(Number(high)).toBeGreaterThanOrEqual(2);
    expect(Number(rate)).toBeCloseTo(2, 0);
  });

  it("says that it cannot tell where readings come at no steady step", () => {
    const change = (readings: Raw[]) =>
      readings.map((one, index) => ({ ...one, at: one.at + ((index * index * 7919) % 293) * MINUTE_MS }));
    const check = checkIn(qualityOf({ ...sixHourly, days: 200 }, { change }), "clock");
    expect(check.outcome).toBe("too_little_data");
  });

  it("says what it could not see: whole hours in an hourly grid without a clear course of the day", () => {
    const check = checkIn(qualityOf({ ...hourly, temperature: false, noisePct: 3 }), "clock");
    expect(check.sentence).toContain("A shift by ");
  });
});
