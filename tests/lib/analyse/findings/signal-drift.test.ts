import { describe, expect, it } from "vitest";
import { seededChance } from "@/lib/kernel/chance";
import { attenuationOfObscuration, signalPctOf } from "@/lib/kernel/units";
import { judge, judgeTested, listedBy, printedP } from "@/tests/fixtures/judged";
import { at, makeDetector, makeSeries, makeWork } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const kind = "signal_drift";
const FROM = "2024-01-01";
const asOf = at("2025-12-01"); // day 700
const DAYS = 700;
const LIMIT_DB = attenuationOfObscuration(35);

type Readings = Omit<Parameters<typeof makeSeries>[0], "from" | "until" | "signal"> & {
  db?: (day: number) => number;
  days?: number;
};

/** One detector whose attenuation is a function of the days since it began to send. */
const fleetOf = (
  { db = () => 0, days = DAYS, ...rest }: Readings,
  work: readonly ReturnType<typeof makeWork>[] = [],
) => {
  const from = new Date(asOf - days * DAY_MS).toISOString().slice(0, 10);
  const series = makeSeries({ from, until: "2025-12-01", signal: (day) => signalPctOf(db(day)), ...rest });
  return { asOf, series: new Map([["D1", series]]), records: { work } };
};
const cleanedOn = (days: readonly number[]) =>
  days.map((day) => ({ ...makeWork({ task: "clean" }), doneAt: at(FROM) + day * DAY_MS }));
const noise = (seed: string, size: number) => {
  const chance = seededChance(seed);
  return () => size * (chance() + chance() + chance() - 1.5);
};

// Limits are looked up week by week, so an exact line reaches its limit at the next whole week.
const wholeWeeks = (days: number) => 7 * Math.ceil(days / 7);

describe("too little data about drift", () => {
  it.each([
    ["no readings", { asOf }, /^no readings$/],
    [
      "twelve weeks",
      fleetOf({ days: 80, db: (day) => 0.01 * day }),
      /^1[0-2] weeks of readings between resets, 13 are needed$/,
    ],
    [
      "half a year without temperatures, in a fleet without a known season",
      fleetOf({ days: 180, db: (day) => 0.005 * day }),
      /too short a record to tell drift from season/,
    ],
    [
      "resets every fortnight",
      fleetOf(
        { db: (day) => 0.01 * (day % 14) },
        cleanedOn(Array.from({ length: 49 }, (_, index) => 14 * (index + 1))),
      ),
      /^0 weeks of readings between resets, 13 are needed$/,
    ],
  ])("%s: says why, and is null in the JSON", (_, input, reason) => {
    expect(judge(kind, input)).toEqual({ outcome: "too_little_data", reason: expect.stringMatching(reason) });
    expect(printedP(kind, input)).toBeNull();
  });

  it("half a year with temperatures is enough", () => {
    const input = fleetOf({ days: 180, db: (day) => 0.005 * day, temperature: (day) => 15 + 8 * Math.sin(day / 9) });
    expect(judge(kind, input).outcome).toBe("tested");
  });
});

describe("a beam that soils along an exact line", () => {
  const db = (day: number) => 0.1 + 0.002 * day;
  const input = fleetOf({ db });

  it("is listed, with the day of the limit as the line has it, inside the interval and in the sentence", () => {
    const { effect, sentence, pValue, threat } = judgeTested(kind, input);
    // 35 % is 1.871 dB; the line stands at 1.5 dB on day 700: 0.371 / 0.002 = 185.4 days.
    const exact = (LIMIT_DB - db(DAYS)) / 0.002;
    expect(exact).toBeCloseTo(185.4, 1);
    expect(effect.value).toBe(wholeWeeks(exact));
    expect(effect.low).toBeLessThan(effect.value ?? 0);
    expect(effect.low).toBeGreaterThan(150);
    expect(effect.high).toBeGreaterThan(effect.value ?? Infinity);
    expect(effect.high).toBeLessThan(230);
    expect(pValue).toBeLessThan(1e-6);
    expect(threat).toBe("soiling");
    expect(listedBy(kind, input)).toEqual(["D1"]);
    // 189 days after 1 December 2025. Signal falls from 70.8 % by 30.4 days x 0.002 dB, that is by 1 point.
    expect(sentence).toMatch(/^The signal falls by [\d.]+ points a month and reaches its limit about 8 June 2026/);
    expect(sentence).toMatch(/90 % interval \d+ \w+ 202\d to \d+ \w+ 202\d/);
  });

  it("reaches a higher threshold later and a lower one earlier", () => {
    const days = (alarmThresholdPct: number) => {
      const detectors = [makeDetector({ alarmThresholdPct })];
      return judgeTested(kind, { ...input, records: { detectors } }).effect.value;
    };
    // 50 % is 3.010 dB: 755 days, beyond the 700 days that the record reaches back.
    expect(days(50)).toBeNull();
    expect(days(40)).toBe(wholeWeeks((attenuationOfObscuration(40) - db(DAYS)) / 0.002));
    expect(days(30)).toBe(wholeWeeks((attenuationOfObscuration(30) - db(DAYS)) / 0.002));
    expect(days(25)).toBe(0);
  });

  it("says that it stands at its limit when it does", () => {
    const past = fleetOf({ db: (day) => 0.6 + 0.002 * day });
    expect(judgeTested(kind, past)).toMatchObject({
      effect: { value: 0 },
      sentence: expect.stringMatching(/stands at its limit now\.$/),
    });
  });

  it("ignores readings at and after the as-of moment", () => {
    const later = makeSeries({
      from: FROM,
      until: "2026-06-01",
      signal: (day) => signalPctOf(day < DAYS ? db(day) : 0),
    });
    expect(judge(kind, { asOf, series: new Map([["D1", later]]) })).toEqual(judge(kind, input));
  });
});

describe("compensation", () => {
  it("decides the day where it is sent and reaches its limit before the signal", () => {
    const input = fleetOf({ db: () => 0.05, compensation: (day) => 10 + 0.1 * day });
    const { effect, sentence, picture, threat } = judgeTested(kind, input);
    // 80 % used on day 700, 20 % left at 0.1 % a day.
    expect(effect.value).toBe(wholeWeeks(200));
    expect(sentence).toMatch(/^Compensation is used up by 3 points a month/);
    expect(threat).toBe("soiling");
    expect(picture).toMatchObject({ type: "drift", quantity: "compensation", limitPct: 100 });
    expect(listedBy(kind, input)).toEqual(["D1"]);
  });

  it("is named as the threat from 85 % on", () => {
    const input = fleetOf({ db: () => 0.05, compensation: (day) => 17 + 0.1 * day });
    expect(judgeTested(kind, input).threat).toBe("compensation at its limit");
  });

  it("that never moves is one that is not used, and the signal decides", () => {
    const input = fleetOf({ db: (day) => 0.1 + 0.002 * day, compensation: () => 40 });
    expect(judgeTested(kind, input).picture).toMatchObject({ quantity: "signal" });
  });
});

describe("a record cut by work", () => {
  // Soils by 0.24 dB in 200 days, too little for the step to show by itself, and is clean again after each visit.
  const visits = [200, 400, 600];
  const db = (day: number) => 0.0012 * (day - (visits.findLast((visit) => visit <= day) ?? 0));

  it("compares nothing across a cleaning: the slope is that between visits, the level that since the last", () => {
    const { effect, facts } = judgeTested(kind, fleetOf({ db }, cleanedOn(visits)));
    // 0.12 dB since day 600; (1.871 - 0.12) / 0.0012 = 1459 days lie beyond the record, so no day is given.
    expect(effect.value).toBeNull();
    expect(facts).toContainEqual({
      label: "Weeks of readings",
      value: expect.stringMatching(/ in 4 stretches between resets$/),
    });
    // 30.4375 days of 0.0012 dB from a signal of 97.4 % are 0.82 points.
    expect(facts).toContainEqual({ label: "Change a month", value: "-0.82 points" });
  });

  it("finds the cleanings that nobody recorded, and the same slope", () => {
    const { facts } = judgeTested(kind, fleetOf({ db }));
    expect(facts).toContainEqual({ label: "Jumps without a work record", value: "3" });
    expect(facts).toContainEqual({ label: "Last of them", value: expect.stringMatching(/^0\.2\d dB for the better$/) });
    const change = facts.find(({ label }) => label === "Change a month")?.value ?? "";
    expect(Number.parseFloat(change)).toBeCloseTo(-0.82, 1);
  });

  it("a filter test cuts nothing", () => {
    const tests = cleanedOn(visits).map((work) => ({ ...work, task: "filter_test" as const }));
    const { facts } = judgeTested(kind, fleetOf({ db: (day) => 0.0012 * day }, tests));
    expect(facts).toContainEqual({ label: "Weeks of readings", value: expect.stringMatching(/ in 1 stretches/) });
  });
});

describe("a beam that does not drift", () => {
  const yearly = (day: number) => 0.5 + 0.4 * Math.cos((2 * Math.PI * day) / 365.25);
  it.each([
    ["low but steady", fleetOf({ db: () => 1.5 })],
    [
      "low, steady and noisy",
      fleetOf({
        db: (
          (one) => () =>
            1.2 + one()
        )(noise("noisy", 0.1)),
      }),
    ],
    ["moving with the year only", fleetOf({ db: yearly })],
    [
      "moving with the temperature only",
      fleetOf({ db: (day) => 0.5 + 0.02 * Math.sin(day / 11), temperature: (day) => 15 + 10 * Math.sin(day / 11) }),
    ],
    ["knocked once to a lower level", fleetOf({ db: (day) => (day < 350 ? 0.1 : 1) })],
    // 0.0003 dB a day would use up the margin of 1.871 dB in 17 years: every beam soils a little.
    ["soiling as every beam does", fleetOf({ db: (day) => 0.0003 * day })],
    ["getting clearer", fleetOf({ db: (day) => 1.4 - 0.0018 * day })],
  ])("%s: not listed", (_, input) => {
    expect(listedBy(kind, input)).toEqual([]);
    expect(judgeTested(kind, input).pValue).toBeGreaterThan(0.05);
  });

  it("that moves with the year is called thermal movement, not soiling", () => {
    expect(judgeTested(kind, fleetOf({ db: yearly, days: 731 })).threat).toBe("thermal movement");
  });
});
