import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS } from "@/lib/kernel/units";
import type { FaultCause } from "@/lib/records/vocabulary";
import { between, gammaOfMeanOne, pick, pickWeighted, poisson, wholeBetween } from "@/seed/draws";
import { atLocalHour, busyHour, falseAlarmOf, faultOf, isWeekend, workingHour } from "@/seed/event-draws";
import type { DemoDetector, DemoSite } from "@/seed/fleet";
import type { Period } from "@/seed/period";
import type { Because, DemoEvent } from "@/seed/records";
import { sunMoments } from "@/seed/sun-view";

/** A detector with its surroundings, as the events of its days are drawn. */
export type Surroundings = {
  readonly site: DemoSite;
  readonly detector: DemoDetector;
  readonly period: Period;
  /** Outdoor minimum of each day, degrees C, and the level below which a morning is cold at this site. */
  readonly outdoorMinC: Float32Array;
  readonly coldMorningC: number;
  readonly chance: Chance;
};

/** Events that do not come from drift: the ordinary ones of every detector and those of the cause planted in it. */
export function drawEvents(about: Surroundings): DemoEvent[] {
  return [...ordinaryEvents(about), ...plantedEvents(about)];
}

function plantedEvents(about: Surroundings): DemoEvent[] {
  switch (about.detector.cause) {
    case "low_sun":
      return onDays(about, sunDay);
    case "steam":
      return onDays(about, steamDay);
    case "seasonal_stock":
      return onDays(about, stockDay);
    case "insects":
      return onDays(about, insectDay);
    case "ageing":
      return ageingEvents(about);
    case "bad_luck":
      return bursts(about);
    default:
      return [];
  }
}

type DayDraw = (about: Surroundings, dayAt: number, day: number) => DemoEvent[];

function onDays(about: Surroundings, draw: DayDraw): DemoEvent[] {
  const events: DemoEvent[] = [];
  for (let day = about.detector.firstDay; day < about.period.days; day += 1) {
    events.push(...draw(about, about.period.startAt + day * DAY_MS, day));
  }
  return events;
}

/** Faults and alarms of any detector: overdispersed from month to month, busiest before noon, no season. */
function ordinaryEvents(about: Surroundings): DemoEvent[] {
  const { chance, detector, site, period } = about;
  const events: DemoEvent[] = [];
  for (let from = detector.firstDay; from < period.days; from += 30) {
    const days = Math.min(30, period.days - from);
    const faults = poisson(chance, (detector.traits.faultsPerYear * gammaOfMeanOne(chance, 3) * days) / 365.25);
    const alarms = poisson(chance, (detector.traits.alarmsPerYear * days) / 365.25);
    const anyMoment = () => {
      const dayAt = period.startAt + (from + Math.floor(days * chance())) * DAY_MS;
      return atLocalHour(dayAt, busyHour(chance), site.country.timeZone);
    };
    for (let left = faults; left > 0; left -= 1) {
      const cause = pickWeighted<FaultCause>(chance, [
        ["low_signal", 35],
        ["path_blocked", 35],
        ["unknown", 30],
      ]);
      events.push(fault(about, { beganAt: anyMoment(), cause, because: "ordinary" }));
    }
    for (let left = alarms; left > 0; left -= 1) {
      const alarm = falseAlarmOf(chance, { ...detector, beganAt: anyMoment(), because: "ordinary", equipment: 0.16 });
      const people = chance() < 0.08 ? pick(chance, ["good_intent", "malicious"] as const) : alarm.verdict;
      events.push({ ...alarm, verdict: people });
    }
  }
  return events;
}

/** On clear days with the sun in view the receiver may be blinded: an unwanted alarm, now and then a short fault. */
function sunDay(about: Surroundings, dayAt: number): DemoEvent[] {
  const { chance, detector, site } = about;
  const draw = chance();
  if (draw > 0.047 * detector.traits.causeRate) return [];
  const moments = sunMoments(dayAt, { ...site, ...detector });
  if (moments.length === 0) return [];
  const beganAt = pick(chance, moments);
  if (draw > 0.037 * detector.traits.causeRate)
    return [fault(about, { beganAt, cause: "unknown", because: "low_sun", medianMin: 12 })];
  return [falseAlarmOf(chance, { ...detector, beganAt, because: "low_sun" })];
}

/** Steam of the morning wash hangs under a cold roof. */
function steamDay(about: Surroundings, dayAt: number, day: number): DemoEvent[] {
  const { chance, detector, site, outdoorMinC, coldMorningC } = about;
  if ((outdoorMinC[day] ?? 99) > coldMorningC || chance() > 0.034 * detector.traits.causeRate) return [];
  const beganAt = atLocalHour(dayAt, between(chance, 5, 8.5), site.country.timeZone);
  return [falseAlarmOf(chance, { ...detector, beganAt, because: "steam" })];
}

/** Goods stacked for the end of the year stand in the beam, October to December, in working hours. */
function stockDay(about: Surroundings, dayAt: number): DemoEvent[] {
  const { chance, detector, site } = about;
  if (new Date(dayAt).getUTCMonth() < 9 || isWeekend(dayAt)) return [];
  const draw = chance();
  if (draw > 0.084 * detector.traits.causeRate) return [];
  const beganAt = atLocalHour(dayAt, workingHour(chance), site.country.timeZone);
  if (draw > 0.034 * detector.traits.causeRate)
    return [fault(about, { beganAt, cause: "path_blocked", because: "stock", medianMin: 35 })];
  return [falseAlarmOf(chance, { ...detector, beganAt, because: "stock" })];
}

/** Insects and webs, nights of June to September. */
function insectDay(about: Surroundings, dayAt: number): DemoEvent[] {
  const { chance, detector, site } = about;
  const month = new Date(dayAt).getUTCMonth();
  if (month < 5 || month > 8) return [];
  const draw = chance();
  if (draw > 0.035 * detector.traits.causeRate) return [];
  const beganAt = atLocalHour(dayAt, 21.5 + 6.5 * chance(), site.country.timeZone);
  if (draw > 0.025 * detector.traits.causeRate)
    return [fault(about, { beganAt, cause: "low_signal", because: "insects", medianMin: 8 })];
  return [falseAlarmOf(chance, { ...detector, beganAt, because: "insects" })];
}

/** Faults that grow from a day in the last year and a half on, while the signal stays. */
function ageingEvents(about: Surroundings): DemoEvent[] {
  const { chance, detector, period } = about;
  const onset = ageingOnsetDay(about);
  const growthDays = between(chance, 130, 200);
  const events: DemoEvent[] = [];
  for (let day = Math.max(onset, detector.firstDay); day < period.days; day += 1) {
    const perYear = Math.min(9, 1.2 * Math.exp((day - onset) / growthDays));
    if (chance() > perYear / 365.25) continue;
    const beganAt = atLocalHour(period.startAt + day * DAY_MS, 24 * chance(), about.site.country.timeZone);
    if (chance() < 0.06) {
      events.push(falseAlarmOf(chance, { ...detector, beganAt, because: "ageing", equipment: 0.5 }));
    } else events.push(fault(about, { beganAt, cause: "unknown", because: "ageing" }));
  }
  return events;
}

function ageingOnsetDay({ chance, period }: Surroundings): number {
  return Math.floor(period.days - between(chance, 260, 540));
}

/** Bad luck: one or two stretches of days with several faults or alarms, at any time, for no lasting cause. */
function bursts(about: Surroundings): DemoEvent[] {
  const { chance, detector, period, site } = about;
  const events: DemoEvent[] = [];
  for (let left = wholeBetween(chance, 1, 2); left > 0; left -= 1) {
    const firstDay = detector.firstDay + Math.floor((period.days - 10 - detector.firstDay) * chance());
    const alarms = chance() < 0.15;
    for (let records = wholeBetween(chance, 2, 4); records > 0; records -= 1) {
      const dayAt = period.startAt + (firstDay + wholeBetween(chance, 0, 8)) * DAY_MS;
      const beganAt = atLocalHour(dayAt, busyHour(chance), site.country.timeZone);
      if (alarms) events.push(falseAlarmOf(chance, { ...detector, beganAt, because: "burst" }));
      else events.push(fault(about, { beganAt, cause: pick(chance, ["unknown", "path_blocked"]), because: "burst" }));
    }
  }
  return events;
}

function fault(
  { chance, detector }: Surroundings,
  draw: { beganAt: number; cause: FaultCause; because: Because; medianMin?: number },
): DemoEvent {
  return faultOf(chance, { detectorId: detector.detectorId, medianMin: 45, ...draw });
}
