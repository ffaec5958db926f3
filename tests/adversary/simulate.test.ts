import { describe, expect, it } from "vitest";
import { knownAt } from "@/lib/analyse/known";
import { isLocalDate, isTimeZone } from "@/lib/kernel/time";
import { detectorRow } from "@/lib/records/detector";
import { eventRow, toEvent } from "@/lib/records/event";
import { siteRow } from "@/lib/records/site";
import { workRow } from "@/lib/records/work";
import { defaultSettings } from "@/lib/settings/settings";
import { mechanisms, visitTasks } from "@/tests/adversary/mechanism";
import { simulateAdversary } from "@/tests/adversary/simulate";
import { bestTrueVisit, trueVisit } from "@/tests/adversary/truth";

const options = { seed: "valid", detectors: 120, days: 500, paths: 6 } as const;
const fleet = simulateAdversary(options);
const truths = [...fleet.truth.values()];
const settings = defaultSettings();
const iso = (at: number | null) => (at === null ? "" : new Date(at).toISOString());
const cell = (value: unknown) => (value === null ? "" : String(value));

describe("a simulated fleet", () => {
  it("is the same for the same seed and another for another", () => {
    const small = { detectors: 25, days: 200, paths: 2 } as const;
    const first = simulateAdversary({ seed: 7, ...small });
    expect(simulateAdversary({ seed: 7, ...small })).toEqual(first);
    expect(simulateAdversary({ seed: 8, ...small }).records.events).not.toEqual(first.records.events);
  });

  it("has the size asked for, sites in both hemispheres and every form and way up", () => {
    expect(fleet.records.detectors).toHaveLength(options.detectors);
    expect(new Set(fleet.records.detectors.map(({ form }) => form)).size).toBe(2);
    expect(new Set(fleet.records.detectors.map(({ access }) => access)).size).toBe(4);
    const many = simulateAdversary({ seed: 3, detectors: 150, days: 150, paths: 1, quiet: true }).records.sites;
    expect(many.some(({ latitude }) => latitude < 0)).toBe(true);
    expect(many.some(({ latitude }) => latitude > 0)).toBe(true);
    expect(new Set(many.map(({ timeZone }) => timeZone)).size).toBeGreaterThan(2);
  });

  it("gives only records that the files would take", () => {
    const problems: string[] = [];
    for (const site of fleet.records.sites) {
      const row = siteRow.safeParse({
        site_id: site.siteId,
        name: site.name,
        latitude: cell(site.latitude),
        longitude: cell(site.longitude),
        time_zone: site.timeZone,
        opens: cell(site.opens),
      });
      if (!row.success || !isTimeZone(site.timeZone)) problems.push(site.siteId);
    }
    for (const detector of fleet.records.detectors) {
      const row = detectorRow.safeParse({
        detector_id: detector.detectorId,
        site_id: detector.siteId,
        label: detector.label,
        form: detector.form,
        path_length_m: cell(detector.pathLengthM),
        height_m: cell(detector.heightM),
        bearing_deg: cell(detector.bearingDeg),
        installed_on: detector.installedOn,
        alarm_threshold_pct: cell(detector.alarmThresholdPct),
        access: detector.access,
        environment: cell(detector.environment),
      });
      if (!row.success || !isLocalDate(detector.installedOn)) problems.push(detector.detectorId);
    }
    for (const event of fleet.records.events) {
      const row = eventRow.safeParse({
        detector_id: event.detectorId,
        began_at: iso(event.beganAt),
        ended_at: iso(event.endedAt),
        condition: event.condition,
        cause: cell(event.cause),
        verdict: cell(event.verdict),
      });
      const read = row.success ? toEvent(row.data, { zone: "UTC", fold: "refuse" }) : null;
      if (!read?.ok) problems.push(`${event.detectorId} ${iso(event.beganAt)}`);
    }
    for (const work of fleet.records.work) {
      const row = workRow.safeParse({
        detector_id: work.detectorId,
        done_at: iso(work.doneAt),
        task: work.task,
        result: cell(work.result),
        signal_before_pct: cell(work.signalBeforePct),
        signal_after_pct: cell(work.signalAfterPct),
        minutes: cell(work.durationMin),
        reactive: cell(work.reactive),
      });
      if (!row.success) problems.push(`${work.detectorId} ${work.task}`);
    }
    expect(problems).toEqual([]);
  });

  it("gives no event, work or condition twice at one moment, as the files' keys ask", () => {
    const { events, work } = fleet.records;
    const keys = [
      ...events.map((one) => `${one.detectorId} ${one.beganAt} ${one.condition}`),
      ...work.map((one) => `${one.detectorId} ${one.doneAt} ${one.task}`),
    ];
    expect(new Set(keys).size).toBe(keys.length);
  });

  it("gives readings in order and inside what a reading may be, with gaps", () => {
    let steps = 0;
    for (const series of fleet.series.values()) {
      for (let index = 0; index < series.readAt.length; index += 1) {
        const signal = series.signalPct[index] ?? -1;
        if (!(signal >= 0 && signal <= 400)) throw new Error(`signal ${signal}`);
        if (index > 0 && !((series.readAt[index] ?? 0) > (series.readAt[index - 1] ?? 0))) throw new Error("order");
        steps += 1;
      }
    }
    expect(steps).toBeGreaterThan(100_000);
    expect(steps).toBeLessThan(options.detectors * (options.days + 90) * 4);
    expect(fleet.series.size).toBeLessThan(options.detectors);
  });

  it("carries on to the end of the horizon, which the analysis cuts off by itself", () => {
    expect(fleet.records.events.some(({ beganAt }) => beganAt > fleet.asOf)).toBe(true);
    expect(knownAt(fleet.records, fleet.asOf).events.every(({ beganAt }) => beganAt < fleet.asOf)).toBe(true);
    const planned = fleet.records.work.filter(({ doneAt, reactive }) => doneAt > fleet.asOf && reactive === false);
    expect(planned).toEqual([]);
  });
});

describe("the truth about it", () => {
  it("is known of every detector, and no task makes things worse beyond the chance of a few paths", () => {
    expect(fleet.truth.size).toBe(options.detectors);
    const sums = visitTasks.map((task) => truths.reduce((sum, { withTask }) => sum + withTask[task].faults, 0));
    const without = truths.reduce((sum, one) => sum + one.without.faults, 0);
    for (const sum of sums) expect(sum).toBeLessThan(without);
    for (const one of truths) {
      for (const task of visitTasks) {
        expect(one.withTask[task].faults).toBeLessThanOrEqual(one.without.faults * 1.5 + 0.2);
        expect(one.withTask[task].alarms).toBeLessThanOrEqual(one.without.alarms * 1.5 + 0.2);
      }
    }
  });

  it("splits what is expected by mechanism", () => {
    for (const one of truths) {
      const faults = one.mechanisms.reduce((sum, part) => sum + part.faults, 0);
      expect(faults).toBeCloseTo(one.without.faults, 8);
    }
    expect(new Set(truths.flatMap((one) => one.mechanisms.map(({ mechanism }) => mechanism))).size).toBeGreaterThan(
      mechanisms.length - 5,
    );
  });

  it("gives a best visit no worse than any other", () => {
    for (const one of truths) {
      const best = bestTrueVisit(one, settings);
      for (const task of visitTasks) expect(trueVisit(one, task, settings).net).toBeLessThanOrEqual(best.net);
    }
  });

  it("expects as many episodes as come, over many detectors", () => {
    const sums = { expected: 0, realised: 0, variance: 0 };
    for (const seed of [21, 22]) {
      for (const one of simulateAdversary({ seed, detectors: 220, days: 200, paths: 2 }).truth.values()) {
        sums.expected += one.without.faults + one.without.alarms;
        sums.realised += one.realised.faults + one.realised.alarms;
        sums.variance += one.variance.faults + one.variance.alarms;
      }
    }
    // The numbers of different detectors are independent given weather: within 4 standard deviations of their sum.
    expect(Math.abs(sums.realised - sums.expected)).toBeLessThan(4 * Math.sqrt(sums.variance));
    expect(sums.expected).toBeGreaterThan(150);
  });

  it("leaves a quiet fleet with its background alone, and nothing to find", () => {
    const quiet = simulateAdversary({ seed: 5, detectors: 60, days: 400, quiet: true });
    for (const one of quiet.truth.values()) {
      expect(
        one.mechanisms.filter(({ mechanism }) => mechanism !== "background" && mechanism !== "works_dust"),
      ).toEqual([]);
      expect(Object.values(one.planted)).toEqual(["none", "none", "none", "none"]);
    }
    expect(quiet.records.work.some(({ reactive }) => reactive)).toBe(true);
    expect(quiet.records.events.some(({ cause }) => cause === "power" || cause === "communication")).toBe(true);
  });
});
