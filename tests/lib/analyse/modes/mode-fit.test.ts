import { describe, expect, it } from "vitest";
import { fitAlarmModes, fitFaultModes, fitFleetModes } from "@/lib/analyse/modes/mode-fit";
import { modeGround } from "@/lib/analyse/modes/mode-ground";
import { seededChance } from "@/lib/kernel/chance";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeEvent, makeSite, makeWork } from "@/tests/fixtures/records";

const FROM = at("2023-07-01");
const AS_OF = at("2026-07-01");
const DAYS = (AS_OF - FROM) / DAY_MS;

/** Forty detectors with an ordinary fault and alarm now and then, and what a test adds. */
function fleet(extra: readonly Event[], work: Parameters<typeof makeWork>[0][] = []) {
  const detectors = Array.from({ length: 40 }, (_, index) =>
    makeDetector({ detectorId: `D${index}`, siteId: "S1", installedOn: "2023-07-01", bearingDeg: 0 }),
  );
  const ordinary = detectors.flatMap(({ detectorId }) => {
    const chance = seededChance(detectorId);
    return ["fault", "fire"].flatMap((condition) =>
      Array.from({ length: 2 }, () =>
        makeEvent({
          detectorId,
          condition: condition === "fault" ? "fault" : "fire",
          cause: condition === "fault" ? "unknown" : null,
          verdict: condition === "fault" ? null : "unwanted",
          beganAt: FROM + Math.floor(chance() * DAYS * 24) * HOUR_MS,
        }),
      ),
    );
  });
  const history = makeHistory({
    asOf: AS_OF,
    records: {
      sites: [makeSite({ siteId: "S1" })],
      detectors,
      events: [...ordinary, ...extra],
      work: work.map((one) => makeWork(one)),
    },
  });
  return modeGround(history.detectors);
}

function alarmsOf(detectorId: string, moments: readonly string[]): Event[] {
  return moments.map((moment) =>
    makeEvent({ detectorId, condition: "fire", verdict: "unwanted", cause: null, beganAt: Date.parse(`${moment}Z`) }),
  );
}

const coldMornings = [
  "2023-11-12T05:20",
  "2023-12-18T06:10",
  "2024-01-25T04:40",
  "2024-12-05T05:50",
  "2025-01-14T06:30",
  "2025-02-03T05:10",
  "2025-12-20T04:30",
];
const horizon = { startAt: AS_OF, endAt: AS_OF + 90 * DAY_MS };
const winter = { startAt: AS_OF + 150 * DAY_MS, endAt: AS_OF + 240 * DAY_MS };
const amountOf = (shares: readonly { cause: string; value: number }[], cause: string) =>
  shares.find((one) => one.cause === cause)?.value ?? 0;

describe("alarms taken apart by cause", () => {
  it("puts alarms on cold mornings of three winters down to cold or steam, and says so in plain words", () => {
    const modes = fitAlarmModes(fleet(alarmsOf("D3", coldMornings)), { asOf: AS_OF });
    const evidence = modes.evidenceOf("D3");
    expect(evidence?.cause).toBe("cold or steam mornings");
    expect(evidence?.probability).toBeGreaterThan(0.5);
    expect(evidence?.facts[0]).toMatch(/of 9 alarms came between 3 and 10 o'clock/);
  });

  it("expects them in the winter and hardly in the summer", () => {
    const modes = fitAlarmModes(fleet(alarmsOf("D3", coldMornings)), { asOf: AS_OF });
    const summer = amountOf(modes.expected("D3", horizon), "cold or steam mornings");
    expect(amountOf(modes.expected("D3", winter), "cold or steam mornings")).toBeGreaterThan(5 * summer);
  });

  it("gives every alarm shares that sum to one, oldest first", () => {
    const shares = fitAlarmModes(fleet(alarmsOf("D3", coldMornings)), { asOf: AS_OF }).causesOf("D3");
    expect(shares).toHaveLength(9);
    for (const one of shares) expect(one.reduce((sum, { value }) => sum + value, 0)).toBeCloseTo(1, 9);
  });

  it("does not force a season that fits no cause into one", () => {
    // Evenings of March: no stated window of an alarm cause holds them.
    const evenings = [2024, 2025, 2026].flatMap((year) => [`${year}-03-05T21:10`, `${year}-03-14T22:20`]);
    const modes = fitAlarmModes(fleet(alarmsOf("D3", evenings)), { asOf: AS_OF });
    expect(modes.evidenceOf("D3")?.cause).toBe("unknown");
  });

  it("tells steam that comes at one hour of its own all the year, and names that hour", () => {
    const washDowns = [
      "2023-09-02",
      "2023-12-11",
      "2024-03-20",
      "2024-07-04",
      "2024-10-15",
      "2025-01-28",
      "2025-05-09",
    ];
    const moments = washDowns.map((day, index) => `${day}T14:${10 + 5 * index}`);
    const modes = fitAlarmModes(fleet(alarmsOf("D3", moments)), { asOf: AS_OF });
    expect(modes.evidenceOf("D3")?.cause).toBe("cold or steam mornings");
    expect(modes.evidenceOf("D3")?.facts[0]).toMatch(/of 9 alarms came between \d+ and \d+ o'clock/);
    expect(amountOf(modes.expected("D3", horizon), "cold or steam mornings")).toBeGreaterThan(0);
  });

  it("lets a season outweigh a burst of one week at any hour", () => {
    const burst = ["01T13:00", "02T23:10", "03T02:30", "04T18:40", "05T10:20", "06T15:50"].map(
      (end) => `2025-08-${end}`,
    );
    const modes = fitAlarmModes(fleet(alarmsOf("D3", [...coldMornings, ...burst])), { asOf: AS_OF });
    const own = modes.expected("D3", winter);
    expect(amountOf(own, "cold or steam mornings")).toBeGreaterThan(amountOf(own, "unknown"));
  });

  it("has no evidence for a detector without alarms or one it does not know", () => {
    const modes = fitAlarmModes(fleet([]), { asOf: FROM + DAY_MS });
    expect(modes.evidenceOf("nobody")).toBeNull();
    expect(modes.expected("nobody", horizon)).toEqual([]);
    expect(modes.causesOf("nobody")).toEqual([]);
  });
});

describe("faults taken apart by cause", () => {
  const blocked = Array.from({ length: 8 }, (_, index) =>
    makeEvent({
      detectorId: "D5",
      condition: "fault",
      cause: "path_blocked",
      beganAt: FROM + (60 + index * 120) * DAY_MS + 11 * HOUR_MS,
    }),
  );

  it("puts faults of a blocked path in working hours down to the path", () => {
    const modes = fitFaultModes(fleet(blocked), { asOf: AS_OF });
    expect(modes.evidenceOf("D5")?.cause).toBe("blocked path");
  });

  it("expects about as many as there were, drawn to the fleet's rate", () => {
    const sum = fitFaultModes(fleet(blocked), { asOf: AS_OF })
      .expected("D5", horizon)
      .reduce((total, { value }) => total + value, 0);
    // Ten faults in 1,096 days are 0.82 in 90; ordinary detectors have 0.16.
    expect(sum).toBeGreaterThan(0.3);
    expect(sum).toBeLessThan(1.1);
  });

  it("believes low signal faults that stop after a clean to be dirt rather than when they go on", () => {
    const lows = (days: readonly number[]) =>
      days.map((day) =>
        makeEvent({ detectorId: "D7", condition: "fault", cause: "low_signal", beganAt: FROM + day * DAY_MS }),
      );
    const clean = [{ detectorId: "D7", task: "clean" as const, reactive: false }].map((one) => ({
      ...one,
      doneAt: FROM + 800 * DAY_MS,
    }));
    const dirt = (days: readonly number[]) => {
      const modes = fitFaultModes(fleet(lows(days), clean), { asOf: FROM + 1000 * DAY_MS });
      return modes.causesOf("D7").reduce((sum, one) => sum + amountOf(one, "soiling"), 0) / days.length;
    };
    expect(dirt([620, 660, 700, 740, 780])).toBeGreaterThan(dirt([810, 850, 890, 930, 970]));
  });

  it("knows nothing at or after an earlier moment", () => {
    const asOf = FROM + 500 * DAY_MS;
    const before = fitFaultModes(fleet(blocked.slice(0, 4)), { asOf });
    const after = fitFaultModes(fleet(blocked), { asOf });
    const span = { startAt: asOf, endAt: asOf + 90 * DAY_MS };
    expect(after.causesOf("D5")).toEqual(before.causesOf("D5"));
    expect(after.expected("D5", span)).toEqual(before.expected("D5", span));
  });

  it("gives the same answer again", () => {
    const one = fitFaultModes(fleet(blocked), { asOf: AS_OF });
    const other = fitFaultModes(fleet(blocked), { asOf: AS_OF });
    expect(one.expected("D5", horizon)).toEqual(other.expected("D5", horizon));
  });
});

describe("faults and alarms taken apart together", () => {
  const lows = Array.from({ length: 14 }, (_, index) =>
    makeEvent({
      detectorId: "D3",
      condition: "fault",
      cause: "low_signal",
      verdict: null,
      beganAt: FROM + (60 + 70 * index) * DAY_MS + (index % 24) * HOUR_MS,
    }),
  );
  const cause = "mount that will not hold";
  const shareOf = (shares: readonly (readonly { cause: string; value: number }[])[]) =>
    shares.reduce((sum, one) => sum + amountOf(one, cause), 0);

  it("hold a cause likelier that the drift of the readings shows, and only where there are readings", () => {
    const ground = fleet(lows);
    const told = (detectorId: string) => (detectorId === "D3" ? [{ cause: "soiling" as const, weight: 0.9 }] : []);
    const plain = fitFaultModes(ground, { asOf: AS_OF });
    // No detector of this fleet sends readings, so that a drift said of them is nothing to go by.
    expect(fitFaultModes(ground, { asOf: AS_OF, driftOf: told }).causesOf("D3")).toEqual(plain.causesOf("D3"));
  });

  it("put an alarm of no pattern down to the cause of many faults sooner than it would be by itself", () => {
    const ground = fleet([...lows, ...alarmsOf("D3", ["2024-05-10T11:00", "2025-09-20T17:00"])]);
    const alone = fitAlarmModes(ground, { asOf: AS_OF });
    const both = fitFleetModes(ground, { asOf: AS_OF });
    const bodily = ["soiling", cause, "ageing", "thermal movement"];
    const of = (model: typeof alone) =>
      model.causesOf("D3").flatMap((one) => one.filter((part) => bodily.includes(part.cause)));
    const sum = (model: typeof alone) => of(model).reduce((total, { value }) => total + value, 0);
    expect(sum(both.alarm)).toBeGreaterThan(1.2 * sum(alone));
    expect(shareOf(both.fault.causesOf("D3"))).toBeCloseTo(
      shareOf(fitFaultModes(ground, { asOf: AS_OF }).causesOf("D3")),
      9,
    );
  });
});
