import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { FaultCause } from "@/lib/records/vocabulary";
import { between, lognormal, pick, poisson, wholeBetween } from "@/seed/draws";
import { atLocalHour, busyHour } from "@/seed/event-draws";
import type { DemoDetector, DemoSite } from "@/seed/fleet";
import type { Period } from "@/seed/period";
import type { Because, DemoEvent } from "@/seed/records";

/** Events that belong to a site: supply and wiring faults, storms of faults, weekly tests, disablements, real fires. */
export function siteEvents(chance: Chance, { site, period }: { site: DemoSite; period: Period }): DemoEvent[] {
  const years = period.days / 365.25;
  const many = (perYear: number, one: () => DemoEvent[]) =>
    Array.from({ length: poisson(chance, perYear * years) }).flatMap(one);
  const moment = () => {
    const dayAt = period.startAt + Math.floor(period.days * chance()) * DAY_MS;
    return atLocalHour(dayAt, busyHour(chance), site.country.timeZone);
  };
  const together = (because: Because, cause: FaultCause, share: number) => () =>
    commonFault(chance, { site, beganAt: moment(), because, cause, share });
  return [
    ...many(0.6, together("site_supply", "power", between(chance, 0.9, 1))),
    ...many(0.9, together("site_supply", "communication", between(chance, 0.4, 1))),
    ...many(0.35, together("storm", pick(chance, ["unknown", "low_signal"]), between(chance, 0.65, 0.95))),
    ...weeklyTests(chance, { site, period }),
    ...many(1.2, () => longDisablement(chance, { site, beganAt: moment() })),
    ...many(0.05, () => genuineFire(chance, { site, beganAt: moment() })),
  ];
}

/** One cause that reaches many detectors of a site within eight minutes and leaves them together. */
function commonFault(
  chance: Chance,
  {
    site,
    beganAt,
    because,
    cause,
    share,
  }: { site: DemoSite; beganAt: number; because: Because; cause: FaultCause; share: number },
): DemoEvent[] {
  const lengthMin = lognormal(chance, { median: 50, spread: 0.9 });
  return site.detectors
    .filter(() => chance() < share)
    .map(({ detectorId }) => {
      const began = beganAt + wholeBetween(chance, 0, 8 * 60) * 1000;
      const endedAt = began + Math.round(lengthMin * between(chance, 0.9, 1.1) * 60) * 1000;
      return { detectorId, beganAt: began, endedAt, condition: "fault", cause, verdict: null, because };
    });
}

/** Three detectors of the site in turn each week; alarms and faults inside the window are part of the test. */
function weeklyTests(chance: Chance, { site, period }: { site: DemoSite; period: Period }): DemoEvent[] {
  const events: DemoEvent[] = [];
  const weekday = firstWeekday(period) + wholeBetween(chance, 0, 4);
  const hour = wholeBetween(chance, 8, 14);
  let turn = 0;
  for (let day = weekday; day < period.days; day += 7) {
    const beganAt = atLocalHour(period.startAt + day * DAY_MS, hour, site.country.timeZone);
    for (let left = Math.min(3, site.detectors.length); left > 0; left -= 1) {
      const detector = site.detectors[turn % site.detectors.length];
      turn += 1;
      if (detector === undefined) continue;
      const own = { detectorId: detector.detectorId, cause: null, verdict: null, because: "weekly_test" } as const;
      const endedAt = beganAt + wholeBetween(chance, 30, 70) * MINUTE_MS;
      events.push({ ...own, beganAt, endedAt: chance() < 0.02 ? null : endedAt, condition: "test" });
      const inside = beganAt + wholeBetween(chance, 3 * 60, 22 * 60) * 1000;
      if (chance() < 0.3) {
        events.push({ ...own, beganAt: inside, endedAt: inside + 90_000, condition: "fire" });
      } else if (chance() < 0.1) {
        events.push({ ...own, beganAt: inside, endedAt: inside + 45_000, condition: "fault", cause: "path_blocked" });
      }
    }
  }
  return events;
}

/** A few neighbours disabled for building work, with dust alarms and faults inside the window. */
function longDisablement(chance: Chance, { site, beganAt }: { site: DemoSite; beganAt: number }): DemoEvent[] {
  const first = Math.floor(chance() * site.detectors.length);
  const lengthMs = Math.round(between(chance, 4, 60) * 60) * MINUTE_MS;
  return site.detectors.slice(first, first + wholeBetween(chance, 1, 4)).flatMap(({ detectorId }: DemoDetector) => {
    const own = { detectorId, cause: null, verdict: null, because: "disabled" } as const;
    const events: DemoEvent[] = [{ ...own, beganAt, endedAt: beganAt + lengthMs, condition: "disablement" }];
    if (chance() < 0.4) {
      const inside = beganAt + Math.round((lengthMs * between(chance, 0.1, 0.8)) / 1000) * 1000;
      events.push({ ...own, beganAt: inside, endedAt: inside + 300_000, condition: "fire", verdict: "unwanted" });
    }
    return events;
  });
}

/** A real fire, seen by one or two detectors, found by people and put out; a fault may follow it. */
function genuineFire(chance: Chance, { site, beganAt }: { site: DemoSite; beganAt: number }): DemoEvent[] {
  const first = Math.floor(chance() * site.detectors.length);
  return site.detectors.slice(first, first + wholeBetween(chance, 1, 2)).map(({ detectorId }, index) => ({
    detectorId,
    beganAt: beganAt + index * 40_000,
    endedAt: beganAt + wholeBetween(chance, 25, 180) * MINUTE_MS,
    condition: "fire",
    cause: null,
    verdict: "genuine",
    because: "fire",
  }));
}

/** Days from the start of the period to its first Monday. */
function firstWeekday({ startAt }: Period): number {
  return (8 - new Date(startAt).getUTCDay()) % 7;
}
