import { describe, expect, it } from "vitest";
import { solarPosition } from "@/lib/kernel/sun";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import { judge, judgeTested, listedBy, printedP } from "@/tests/fixtures/judged";
import { at, makeDetector, makeEvent, makeSeries, makeSite } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const kind = "seasonal_alarms";
const asOf = at("2026-01-01");

/** Unwanted alarms of ten minutes at moments given as texts. */
const alarmsAt = (texts: readonly string[], changes: Partial<Event> = {}) =>
  texts.map((text) => {
    const beganAt = at(text);
    return makeEvent({ condition: "fire", beganAt, endedAt: beganAt + 600_000, ...changes });
  });
const yearsOf = (days: readonly string[], years = ["2022", "2023", "2024", "2025"]) =>
  years.flatMap((year) => days.map((day) => `${year}-${day}`));
const watched = makeEvent({ condition: "test", began: "2022-01-01", ended: "2022-01-01T00:10:00Z" });

// At 51.5 degrees north the sun is never within 50 degrees of north, so a beam that looks there never sees it.
const northward = makeDetector({ bearingDeg: 0 });
const fleetOf = (
  events: readonly Event[],
  { detector = northward, site = makeSite() }: { detector?: ReturnType<typeof makeDetector>; site?: Site } = {},
) => ({ asOf, records: { sites: [site], detectors: [detector], events: [watched, ...events] } });

describe("too little data about unwanted alarms", () => {
  const four = alarmsAt(["2022-03-01T02:00Z", "2023-03-01T02:00Z", "2024-03-01T02:00Z", "2025-03-01T02:00Z"]);
  it.each([
    ["two events", fleetOf(four.slice(0, 2)), /2 unwanted-alarm events, 3 are needed/],
    [
      "eight records of one bad week",
      fleetOf(alarmsAt(["01", "02", "03", "04", "05", "06", "07", "08"].map((day) => `2025-03-${day}T02:00Z`))),
      /1 unwanted-alarm event, 3 are needed/,
    ],
    [
      "seven events that nobody judged",
      fleetOf(alarmsAt(yearsOf(["03-01T02:00Z", "06-01T02:00Z"]), { verdict: "unknown" })),
      /0 unwanted-alarm events/,
    ],
    [
      "malicious alarms, which no visit prevents",
      fleetOf(alarmsAt(yearsOf(["03-01T02:00Z", "06-01T02:00Z"]), { verdict: "malicious" })),
      /0 unwanted-alarm events/,
    ],
    [
      "eight events in 729 days",
      fleetOf(alarmsAt(yearsOf(["02-01T02:00Z", "03-01T02:00Z", "05-01T02:00Z", "07-01T02:00Z"], ["2024", "2025"])), {
        detector: makeDetector({ bearingDeg: 0, installedOn: "2024-01-03" }),
      }),
      /watched for 729 days; a season needs 730/,
    ],
  ])("%s: says why, and is null in the JSON", (_, input, reason) => {
    expect(judge(kind, input)).toEqual({ outcome: "too_little_data", reason: expect.stringMatching(reason) });
    expect(printedP(kind, input)).toBeNull();
  });
});

describe("the low sun", () => {
  // On 51.5 degrees north the sun stands 9 degrees high in azimuth 102 an hour after sunrise on 21 March and again in late
  // September (see the sun's own test): a beam along 102 degrees looks into it.
  const eastward = makeDetector({ bearingDeg: 102 });
  const mornings = alarmsAt(["2024-03-18T07:10Z", "2024-09-24T06:50Z", "2025-03-20T07:05Z"]);

  it("three alarms are enough where the sun stood in the receiver's view, with closed-form p-value and interval", () => {
    // Watched for less than two years, so that nothing but the sun is tested.
    const detector = makeDetector({ bearingDeg: 102, installedOn: "2024-02-01" });
    const { pValue, effect, threat, sentence } = judgeTested(kind, fleetOf(mornings, { detector }));
    const share = 1 / (effect.value ?? Number.NaN);
    // All three of three: p is the cube of the share, and the exact lower limit of the proportion is .025 ^ (1/3).
    expect(pValue).toBeCloseTo(share ** 3, 9);
    expect(effect.low).toBeCloseTo(0.025 ** (1 / 3) / share, 6);
    expect(effect.high).toBeCloseTo(1 / share, 6);
    expect(threat).toBe("low sun");
    expect(sentence).toMatch(
      /^3 of 3 unwanted alarms came with the sun in the receiver's view: \d+ times their even share/,
    );
    expect(sentence).toContain("low sun stands in the receiver's view");
    expect(listedBy(kind, fleetOf(mornings, { detector: eastward }))).toEqual(["D1"]);
  });

  it("takes the share of the year with the sun in view from where the sun really stands", () => {
    const { effect } = judgeTested(kind, fleetOf(mornings, { detector: eastward }));
    let weight = 0;
    let inView = 0;
    for (let moment = at("2025-01-01"); moment < asOf; moment += 20 * 60_000) {
      const hour = (moment % DAY_MS) / 3_600_000;
      // Where a fleet has few alarms, its day is taken as 2.7 times as busy at 13 h as at 1 h.
      const usual = 1 + 0.46 * Math.cos((2 * Math.PI * (hour - 13)) / 24);
      const { azimuthDeg, elevationDeg } = solarPosition(moment, { latitude: 51.5, longitude: 0 });
      weight += usual;
      if (Math.abs(azimuthDeg - 102) <= 12 && elevationDeg >= 0 && elevationDeg <= 25) inView += usual;
    }
    expect(((effect.value ?? 0) * inView) / weight).toBeCloseTo(1, 1);
  });

  it("is not blamed where the beam looks the other way, unless either end may be the receiver", () => {
    const away = makeDetector({ bearingDeg: 282 });
    const either = makeDetector({ bearingDeg: 282, form: "end_to_end" });
    expect(judgeTested(kind, fleetOf(mornings, { detector: away })).threat).not.toBe("low sun");
    expect(judgeTested(kind, fleetOf(mornings, { detector: away })).pValue).toBeGreaterThan(0.05);
    expect(judgeTested(kind, fleetOf(mornings, { detector: either })).threat).toBe("low sun");
  });

  it("is not blamed for the same hours in another season or at night", () => {
    const june = alarmsAt(["2024-06-20T10:10Z", "2025-06-20T10:10Z", "2025-12-21T23:00Z"]);
    const { threat, pValue } = judgeTested(kind, fleetOf(june, { detector: eastward }));
    expect(threat).toBeNull();
    expect(pValue).toBeGreaterThan(0.5);
  });
});

describe("either end may be the receiver", () => {
  it("both directions are tried, and the chance is doubled for it", () => {
    const mornings = alarmsAt(["2024-03-18T07:10Z", "2024-09-24T06:50Z", "2025-03-20T07:05Z"]);
    const p = (form: "reflective" | "end_to_end") => {
      const detector = makeDetector({ bearingDeg: 102, installedOn: "2024-02-01", form });
      return judgeTested(kind, fleetOf(mornings, { detector })).pValue;
    };
    expect(p("end_to_end") / p("reflective")).toBeCloseTo(2, 6);
  });
});

describe("a season that returns", () => {
  const autumn = yearsOf(["10-14T10:00Z", "11-02T14:20Z", "11-20T16:40Z"]);

  it("is listed, with the share inside its interval and the numbers in the sentence", () => {
    const input = fleetOf(alarmsAt(autumn));
    const { effect, sentence, pValue, threat, picture } = judgeTested(kind, input);
    expect(listedBy(kind, input)).toEqual(["D1"]);
    expect(pValue).toBeLessThan(0.01);
    // All 12 fall in the last quarter from 6 to 20 h. Where a fleet has few alarms of its own, a day is taken as 2.7
    // times as busy at 13 h as at 1 h: 14 hours around it hold (14 + .46 x 24 / pi x sin(7 pi / 12)) / 24 of the alarms.
    const hours = (14 + ((0.46 * 24) / Math.PI) * Math.sin((7 * Math.PI) / 12)) / 24;
    const ratio = 1 / (0.25 * hours);
    expect((effect.value ?? 0) / ratio).toBeCloseTo(1, 1);
    // The exact 95 % interval of 12 of 12 is .025 ^ (1/12) to 1.
    expect((effect.low ?? 0) / (effect.value ?? 1)).toBeCloseTo(0.025 ** (1 / 12), 6);
    expect(effect.high).toBeCloseTo(effect.value ?? Number.NaN, 6);
    expect(sentence).toMatch(
      /^12 of 12 unwanted alarms fall from 1 October to \d+ December, between 06:00 and 20:00: \d.* times their even share/,
    );
    expect(sentence).toMatch(/95 % interval \d/);
    expect(threat).toBe("seasonal stock");
    if (picture.type !== "rose") throw new Error(`a rose was expected, not ${picture.type}`);
    expect(picture.marks).toHaveLength(12);
  });

  it("gives the same answer on a second run: chance is seeded by the detector", () => {
    expect(judge(kind, fleetOf(alarmsAt(autumn)))).toEqual(judge(kind, fleetOf(alarmsAt(autumn))));
  });

  it("that the whole fleet shares is the fleet's, not this detector's", () => {
    const others = Array.from({ length: 60 }, (_, index) => makeDetector({ detectorId: `E${index}`, bearingDeg: 0 }));
    const shared = others.flatMap(({ detectorId }, index) => {
      const day = String(1 + (index % 28)).padStart(2, "0");
      return alarmsAt([`2023-11-${day}T12:00Z`, `2024-10-${day}T08:00Z`, `2025-12-${day}T15:00Z`], { detectorId });
    });
    const own = alarmsAt([
      "2023-10-14T10:00Z",
      "2023-11-20T10:00Z",
      "2024-10-20T10:00Z",
      "2024-12-05T10:00Z",
      "2025-11-02T14:00Z",
      "2025-12-20T16:00Z",
    ]);
    const alone = fleetOf(own);
    const among = {
      ...alone,
      records: { ...alone.records, detectors: [northward, ...others], events: [watched, ...own, ...shared] },
    };
    expect(judgeTested(kind, among).pValue).toBeGreaterThan(3 * judgeTested(kind, alone).pValue);
    expect(listedBy(kind, among)).not.toContain("D1");
  });
});

describe("alarms without a season", () => {
  const steady = Array.from({ length: 24 }, (_, index) => {
    return new Date(at("2022-01-20") + index * 60.9 * DAY_MS + ((index * 7) % 24) * 3_600_000).toISOString();
  });
  it.each([
    ["many, all the year round", steady],
    [
      "one bad spell of six weeks, once",
      ["01", "10", "19", "28"].flatMap((day) => [`2024-03-${day}T03:00Z`, `2024-04-${day}T15:00Z`]),
    ],
    // One week of chatter among a steady few is one event more.
    [
      "a steady few and a week of chatter",
      [...steady.slice(0, 12), ...[1, 2, 3, 4, 5].map((day) => `2025-03-0${day}T09:00:00Z`)],
    ],
  ])("%s: not listed", (_, texts) => {
    expect(listedBy(kind, fleetOf(alarmsAt(texts)))).toEqual([]);
    expect(judgeTested(kind, fleetOf(alarmsAt(texts))).pValue).toBeGreaterThan(0.05);
  });
});

describe("the cause that fits", () => {
  const threatOf = (texts: readonly string[], site: Site) =>
    judgeTested(kind, fleetOf(alarmsAt(texts), { site })).threat;

  it("insects fly in the warm nights of the site's own half of the earth", () => {
    const south = makeSite({ latitude: -33.9, longitude: 151.2, timeZone: "Australia/Sydney" });
    const north = makeSite({ latitude: 45.5, longitude: 9.2, timeZone: "Europe/Rome" });
    // 11 h UTC is ten in the evening in Sydney's summer; 20 h UTC is ten in the evening in Rome's.
    const january = yearsOf(["01-05T11:00Z", "01-28T11:30Z", "02-15T10:40Z"]);
    const july = yearsOf(["07-05T20:00Z", "07-28T20:30Z", "08-15T19:40Z"]);
    expect(threatOf(january, south)).toBe("insects");
    expect(threatOf(july, north)).toBe("insects");
    // The same dates in the other half are winter nights.
    expect(threatOf(yearsOf(["07-05T11:00Z", "07-28T11:30Z", "08-15T10:40Z"]), south)).toBeNull();
    expect(threatOf(yearsOf(["01-05T20:00Z", "01-28T20:30Z", "02-15T19:40Z"]), north)).toBeNull();
  });

  it("cold mornings are told by the hour of the site's zone and, where sent, by the day's coldest temperature", () => {
    const site = makeSite({ timeZone: "America/Chicago", latitude: 41.9, longitude: -87.6 });
    // 11:30 UTC is 05:30 in Chicago's winter; taken as UTC it would be no morning at all.
    const texts = yearsOf(["01-10T11:30Z", "02-05T11:30Z", "12-08T11:30Z"]);
    expect(threatOf(texts, site)).toBe("cold or steam mornings");
    const readings = (temperature: (day: number) => number) => {
      const series = makeSeries({ from: "2022-01-01", until: "2026-01-01", stepHours: 24, temperature });
      return { ...fleetOf(alarmsAt(texts), { site }), series: new Map([["D1", series]]) };
    };
    const coldInJanuary = readings((day) => 10 - 12 * Math.cos((2 * Math.PI * (day - 10)) / 365.25));
    const warmInJanuary = readings((day) => 10 + 12 * Math.cos((2 * Math.PI * (day - 10)) / 365.25));
    expect(judgeTested(kind, coldInJanuary).threat).toBe("cold or steam mornings");
    expect(judgeTested(kind, warmInJanuary).threat).not.toBe("cold or steam mornings");
  });
});

describe("the hour of day", () => {
  it("is the site's own across a change of its clock", () => {
    const site = makeSite({ timeZone: "Europe/London" });
    const others = Array.from({ length: 6 }, (_, index) => makeDetector({ detectorId: `E${index}`, bearingDeg: 0 }));
    const spread = others.flatMap(({ detectorId }, index) =>
      Array.from({ length: 20 }, (_, turn) => {
        const beganAt = at("2022-02-01") + (index * 3 + turn * 60) * DAY_MS + ((turn * 5 + index * 4) % 24) * 3_600_000;
        return makeEvent({ detectorId, condition: "fire", beganAt });
      }),
    );
    // Six in the morning on the clock of the wall: 06:00 UTC in winter and 05:00 UTC in summer.
    const own = alarmsAt([
      ...yearsOf(["01-15T06:00Z", "03-25T06:00Z", "11-10T06:00Z"], ["2022", "2023", "2024"]),
      ...yearsOf(["04-05T05:00Z", "06-10T05:00Z", "08-20T05:00Z"], ["2022", "2023", "2024"]),
    ]);
    const alone = fleetOf(own, { site });
    const input = {
      ...alone,
      records: { ...alone.records, detectors: [northward, ...others], events: [watched, ...own, ...spread] },
    };
    const { picture, sentence } = judgeTested(kind, input);
    expect(sentence).toMatch(/^18 of 18 unwanted alarms fall between 0[2-4]:\d\d and 0[89]:\d\d/);
    if (picture.type !== "rose") throw new Error(`a rose was expected, not ${picture.type}`);
    expect(picture.circle).toBe("day");
    expect(new Set(picture.marks)).toEqual(new Set([0.25]));
    expect(listedBy(kind, input)).toEqual(["D1"]);
  });
});
