import { describe, expect, it } from "vitest";
import { alarmDispersion } from "@/lib/analyse/alarm-spells";
import { seasonalAlarms } from "@/lib/analyse/findings/seasonal-alarms";
import type { AlarmBackground } from "@/lib/analyse/findings/seasonal-alarms/null-spread";
import { fleetSeason, isSouth } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { alarmHours } from "@/lib/analyse/hour-profile";
import { skiesOnce } from "@/lib/analyse/sun-views";
import { type Chance, seededChance } from "@/lib/kernel/chance";
import { benjaminiHochberg } from "@/lib/statistics/benjamini-hochberg";
import { alarmHistory } from "@/tests/fixtures/alarm-history";
import { at, makeSite } from "@/tests/fixtures/records";

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;
const from = at("2023-07-01");
const days = 1096;
const FLEETS = 4;
const DETECTORS = 250;

/** What a quiet fleet is troubled by, none of it a detector's own season. */
type Trouble = {
  /** Amplitude of the season of all. */
  readonly season: number;
  /** Chance of one more alarm within three weeks of another. */
  readonly echo: number;
  /** Share of detectors with a bad spell of 45 days, at about one time of day. */
  readonly spells: number;
  /** Whether some detectors are watched late or with a gap. */
  readonly partial: boolean;
};

const troubles: Readonly<Record<string, Trouble>> = {
  none: { season: 0, echo: 0, spells: 0, partial: false },
  "a strong season of all": { season: 0.9, echo: 0, spells: 0, partial: true },
  "echo of weeks": { season: 0.3, echo: 0.3, spells: 0, partial: true },
  "bad spells": { season: 0.3, echo: 0.2, spells: 0.4, partial: true },
};

function quietFleet(seed: string, trouble: Trouble): DetectorHistory[] {
  const chance = seededChance(seed);
  return Array.from({ length: DETECTORS }, (_, index) => {
    const south = index % 5 === 4;
    const place = south ? { latitude: -34, longitude: 18.4, timeZone: "Africa/Johannesburg" } : { latitude: 50 };
    const site = makeSite({ siteId: `S${index % 10}`, ...place });
    const moments = momentsOf(chance, { ...trouble, south });
    const form = chance() < 0.4 ? "end_to_end" : "reflective";
    const detector = { bearingDeg: 360 * chance(), form } as const;
    return alarmHistory({ id: `${seed} ${index}`, from, days, moments, site, detector, ...watch(chance, trouble) });
  });
}

function watch(chance: Chance, { partial }: Trouble) {
  if (!partial || chance() < 0.5) return {};
  const startAt = from + 350 * chance() * DAY_MS;
  const gapAt = startAt + (60 + 500 * chance()) * DAY_MS;
  return {
    observed: [
      { startAt, endAt: gapAt },
      { startAt: gapAt + 60 * DAY_MS, endAt: from + days * DAY_MS },
    ],
  };
}

function momentsOf(chance: Chance, { season, echo, spells, south }: Trouble & { south: boolean }): number[] {
  const moments: number[] = [];
  const rate = (-2.6 * Math.log(1 - chance())) / 365.25;
  for (let day = 0; day < days; day += 1) {
    const turn = (from + day * DAY_MS - at("2023-01-15")) / DAY_MS / 365.25 + (south ? 0.5 : 0);
    if (chance() >= rate * Math.exp(season * Math.cos(2 * Math.PI * turn))) continue;
    let last = day;
    moments.push(momentOf(last, busyHour(chance)));
    while (chance() < echo) {
      last += 1 + 20 * chance();
      moments.push(momentOf(last, busyHour(chance)));
    }
  }
  if (chance() < spells) {
    const [day, hour] = [days * chance(), busyHour(chance)];
    for (let left = 3 + Math.floor(4 * chance()); left > 0; left -= 1) {
      moments.push(momentOf(day + 45 * chance(), (hour + 6 * (chance() - 0.5) + 24) % 24));
    }
  }
  return moments.sort((a, b) => a - b);
}

const momentOf = (day: number, hour: number) => from + Math.floor(day) * DAY_MS + Math.floor(hour * HOUR_MS);

function busyHour(chance: Chance): number {
  for (;;) {
    const hour = 24 * chance();
    if (chance() < (1 + 0.6 * Math.cos((2 * Math.PI * (hour - 13)) / 24)) / 1.6) return hour;
  }
}

function backgroundOf(histories: readonly DetectorHistory[]): AlarmBackground {
  return {
    alarmSeason: fleetSeason(
      histories.map(({ detector, site, alarmClusters, exposure }) => ({
        detectorId: detector.detectorId,
        south: isSouth(site),
        events: alarmClusters.map(({ beganAt }) => beganAt),
        exposure: exposure.observed,
      })),
    ),
    alarmHours: alarmHours(histories),
    alarmDispersion: alarmDispersion(histories),
    skies: skiesOnce(),
  };
}

describe("chances of seasonal alarms on quiet fleets troubled by", () => {
  it.each(Object.keys(troubles))("%s: are no smaller than they say", (name) => {
    const trouble = troubles[name];
    if (!trouble) throw new Error(`no trouble ${name}`);
    const fleets = Array.from({ length: FLEETS }, (_, index) => {
      const histories = quietFleet(`${name} ${index}`, trouble);
      const fleet = backgroundOf(histories);
      return histories.flatMap((history) => {
        const result = seasonalAlarms.test(history, fleet);
        return result.outcome === "tested" ? [result.pValue] : [];
      });
    });
    const chances = fleets.flat();
    const share = (limit: number) => chances.filter((p) => p <= limit).length / chances.length;
    const speaking = fleets.filter((ps) => benjaminiHochberg(ps).some((q) => q <= 0.05)).length;
    console.info(name, { tested: chances.length, at05: share(0.05), at01: share(0.01), at001: share(0.001), speaking });
    expect(chances.length).toBeGreaterThan(300);
    // Four standard errors of 300 and more chances above the nominal share, counting no fleet twice.
    expect(share(0.05)).toBeLessThan(0.1);
    expect(share(0.01)).toBeLessThan(0.033);
    expect(speaking).toBeLessThanOrEqual(2);
  });
});
