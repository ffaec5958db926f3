import { describe, expect, test } from "vitest";
import { offsetMsAt } from "@/lib/kernel/time";
import { DAY_MS } from "@/lib/kernel/units";
import { detectorRow, toDetector } from "@/lib/records/detector";
import { eventRow, toEvent } from "@/lib/records/event";
import { columnsOf, type FileKind } from "@/lib/records/files";
import { readingRow, toReading } from "@/lib/records/reading";
import { siteRow, toSite } from "@/lib/records/site";
import { toWork, workRow } from "@/lib/records/work";
import { causes } from "@/seed/causes";
import { detectorLine, eventLine, readingLines, siteLine, workLine } from "@/seed/csv";
import { makeFleet } from "@/seed/fleet";
import { END_AT, periodOf, stepAt } from "@/seed/period";
import { portfolioHistories, type SiteHistory } from "@/seed/portfolio";
import { stampOf } from "@/seed/stamps";
import { SUN_VIEW_DEG, sunAngleDeg } from "@/seed/sun-view";
import { truthOf } from "@/seed/truth";

const period = periodOf(800);
const options = { sites: 6, detectors: 60, seed: "test", period };
const histories = [...portfolioHistories(options)];
const detectorsById = new Map(
  histories.flatMap(({ site }) => site.detectors.map((detector) => [detector.detectorId, { site, detector }])),
);

/** Cells of a line without quoted commas but in the columns that may hold them. */
function rowOf(kind: FileKind, line: string): Record<string, string> {
  const cells = [...line.trimEnd().matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map((match) => match[1] ?? "");
  const entries = columnsOf(kind).map((column, index) => [column, (cells[index] ?? "").replace(/^"|"$/g, "")]);
  return Object.fromEntries(entries);
}

function zoneOf({ site }: SiteHistory) {
  return { zone: site.country.timeZone, fold: "refuse" } as const;
}

/** Signed days from the nearest solstice, 21 June or 21 December to within a day. */
function daysFromSolstice(at: number): { summer: boolean; days: number } {
  const year = new Date(at).getUTCFullYear();
  const solstices = [year - 1, year, year + 1].flatMap((one) => [
    { summer: false, days: (at - Date.UTC(one, 11, 21)) / DAY_MS },
    { summer: true, days: (at - Date.UTC(one, 5, 21)) / DAY_MS },
  ]);
  return solstices.reduce((best, one) => (Math.abs(one.days) < Math.abs(best.days) ? one : best));
}

describe("the demo portfolio", () => {
  test("the same seed gives the same fleet, events and readings; another seed does not", () => {
    const small = { sites: 3, detectors: 30, seed: "one", period: periodOf(60) };
    const textOf = (seed: string) =>
      [...portfolioHistories({ ...small, seed })]
        .map((history) => {
          const events = history.events.map((event) => eventLine(event, history.site)).join("");
          return siteLine(history.site) + events + [...readingLines(history, small.period)].join("");
        })
        .join("");
    expect(textOf("one")).toBe(textOf("one"));
    expect(textOf("two")).not.toBe(textOf("one"));
  });

  test("holds as many sites and detectors as asked, each with ids of its own, in both countries", () => {
    expect(histories).toHaveLength(6);
    expect(detectorsById.size).toBe(60);
    expect(new Set(histories.map(({ site }) => site.country.timeZone))).toEqual(
      new Set(["Europe/Lisbon", "Europe/Helsinki"]),
    );
  });

  test("every row of every file is accepted by its schema", () => {
    for (const history of histories) {
      const { site, events, work } = history;
      const moment = zoneOf(history);
      expect(toSite(siteRow.parse(rowOf("sites", siteLine(site)))).ok).toBe(true);
      for (const detector of site.detectors) {
        const row = detectorRow.parse(rowOf("detectors", detectorLine(detector, site)));
        expect(toDetector(row).ok).toBe(true);
      }
      for (const event of events) {
        const outcome = toEvent(eventRow.parse(rowOf("events", eventLine(event, site))), moment);
        if (!outcome.ok) throw new Error(`${eventLine(event, site)} ${outcome.refusal.reason}`);
        expect(outcome.value.beganAt).toBe(event.beganAt);
        expect(outcome.value.endedAt).toBe(event.endedAt);
      }
      for (const one of work) {
        const outcome = toWork(workRow.parse(rowOf("work", workLine(one, site))), moment);
        if (!outcome.ok) throw new Error(`${workLine(one, site)} ${outcome.refusal.reason}`);
        expect(outcome.value.doneAt).toBe(one.doneAt);
      }
      const [firstDetector] = readingLines(history, period);
      const lines = (firstDetector ?? "").trimEnd().split("\n");
      expect(lines.length).toBeGreaterThan(100);
      for (const line of lines.filter((_, index) => index % 17 === 0)) {
        expect(toReading(readingRow.parse(rowOf("readings", line)), moment).ok).toBe(true);
      }
    }
  });

  test("nothing happens at or after the end, before the start or before a detector is in service", () => {
    for (const { events, work } of histories) {
      for (const { detectorId, beganAt, endedAt } of events) {
        const first = detectorsById.get(detectorId)?.detector.firstDay ?? 0;
        expect(beganAt).toBeGreaterThanOrEqual(period.startAt + first * DAY_MS);
        expect(Math.max(beganAt, endedAt ?? 0)).toBeLessThan(END_AT);
      }
      for (const { doneAt } of work) expect(doneAt).toBeLessThan(END_AT);
    }
    expect(stepAt(period, period.steps - 1, 59)).toBeLessThan(END_AT);
  });

  test("no file holds the same natural key twice", () => {
    for (const { events, work } of histories) {
      const keys = events.map(({ detectorId, beganAt, condition }) => `${detectorId} ${beganAt} ${condition}`);
      expect(new Set(keys).size).toBe(keys.length);
      const done = work.map(({ detectorId, doneAt, task }) => `${detectorId} ${doneAt} ${task}`);
      expect(new Set(done).size).toBe(done.length);
    }
  });

  test("a site without offsets still writes one where the clock shows a time twice", () => {
    const site = histories.map((one) => one.site).find((one) => one.wallTimes && one.country.code === "P");
    if (!site) throw new Error("no site with wall times");
    // The clocks of Lisbon went back at 2025-10-26T01:00Z: 00:30Z was 01:30 the first time.
    expect(stampOf(Date.UTC(2025, 9, 26, 0, 30), { site, seconds: false })).toBe("2025-10-26T01:30+01:00");
    expect(stampOf(Date.UTC(2025, 9, 26, 4, 0), { site, seconds: true })).toBe("2025-10-26T04:00:00");
  });
});

describe("what is planted", () => {
  test("every cause has its detectors, and the truth list names each of them once", () => {
    const truths = histories.flatMap(truthOf);
    const planted = [...detectorsById.values()].filter(({ detector }) => detector.cause !== "plain");
    expect(new Set(truths.map((truth) => truth.cause))).toEqual(new Set(causes.filter((cause) => cause !== "plain")));
    expect(truths.map((truth) => truth.detectorId).sort()).toEqual(
      planted.map(({ detector }) => detector.detectorId).sort(),
    );
  });

  test("a low-sun event has the sun within the receiver's view", () => {
    const sun = histories.flatMap(({ events }) => events).filter((event) => event.because === "low_sun");
    expect(sun.length).toBeGreaterThan(3);
    for (const { detectorId, beganAt } of sun) {
      const { site, detector } = detectorsById.get(detectorId) ?? {};
      if (!site || !detector) throw new Error(`no detector ${detectorId}`);
      const angle = sunAngleDeg(beganAt, { ...site, bearingDeg: detector.bearingDeg });
      expect(angle).not.toBeNull();
      expect(angle ?? 180).toBeLessThanOrEqual(SUN_VIEW_DEG);
    }
  });

  test("low sun comes in two bands of dates, mirrored about one solstice", () => {
    const sun = histories.flatMap(({ events }) => events).filter((event) => event.because === "low_sun");
    for (const id of new Set(sun.map((event) => event.detectorId))) {
      const fromSolstice = sun
        .filter((event) => event.detectorId === id)
        .map(({ beganAt }) => daysFromSolstice(beganAt));
      const mean = (list: readonly number[]) => list.reduce((sum, value) => sum + value, 0) / list.length;
      expect(new Set(fromSolstice.map(({ summer }) => summer)).size).toBe(1);
      const before = fromSolstice.filter(({ days }) => days < 0).map(({ days }) => -days);
      const after = fromSolstice.filter(({ days }) => days > 0).map(({ days }) => days);
      expect(Math.abs(mean(before) - mean(after))).toBeLessThan(20);
    }
  });

  test("stock blocks beams only in working hours of October to December", () => {
    const stock = histories.flatMap(({ site, events }) =>
      events.filter((event) => event.because === "stock").map((event) => ({ ...event, zone: site.country.timeZone })),
    );
    expect(stock.length).toBeGreaterThan(3);
    for (const { beganAt, zone } of stock) {
      const local = new Date(beganAt + offsetMsAt(beganAt, zone));
      expect(local.getUTCMonth()).toBeGreaterThanOrEqual(9);
      expect(local.getUTCHours()).toBeGreaterThanOrEqual(7);
      expect(local.getUTCHours()).toBeLessThan(18);
    }
  });

  test("a soiled beam fades between cleanings and comes back after them", () => {
    const soiled = histories.flatMap((history) =>
      history.lives.filter(({ detector }) => detector.cause === "soiling").map((one) => ({ ...one, history })),
    );
    expect(soiled.length).toBeGreaterThan(0);
    for (const { life } of soiled) {
      const cleans = life.work.filter((one) => one.task === "clean" && one.signalBeforePct !== null);
      expect(cleans.length).toBeGreaterThan(0);
      for (const clean of cleans) expect(clean.signalAfterPct ?? 0).toBeGreaterThan(clean.signalBeforePct ?? 400);
    }
  });

  test("a mount that does not hold is realigned again and again, an ordinary one hardly ever", () => {
    const perDetector = (wanted: (cause: string) => boolean) => {
      const chosen = [...detectorsById.values()].filter(({ detector }) => wanted(detector.cause));
      const ids = new Set(chosen.map(({ detector }) => detector.detectorId));
      const realigns = histories.flatMap(({ work }) => work).filter((one) => one.task === "realign" && one.reactive);
      return realigns.filter((one) => ids.has(one.detectorId)).length / ids.size;
    };
    expect(perDetector((cause) => cause === "loose_mount")).toBeGreaterThanOrEqual(3);
    expect(perDetector((cause) => cause === "plain")).toBeLessThan(1);
  });

  test("a silent site sends neither readings nor events while it is silent", () => {
    const silent = histories.filter(({ site }) => site.silentDays !== null);
    expect(silent.length).toBe(2);
    for (const { site, events } of silent) {
      const { from, to } = site.silentDays ?? { from: 0, to: 0 };
      const days = events.map(({ beganAt }) => Math.floor((beganAt - period.startAt) / DAY_MS));
      expect(days.some((day) => day >= from && day < to)).toBe(false);
      expect(days.some((day) => day < from)).toBe(true);
    }
  });

  test("fewer detectors than sites are refused", () => {
    expect(() => makeFleet({ ...options, detectors: 3 })).toThrow(RangeError);
  });
});
