import type { Chance } from "@/lib/kernel/chance";
import { offsetMsAt } from "@/lib/kernel/time";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { FaultCause, Verdict } from "@/lib/records/vocabulary";
import { between, lognormal, pickWeighted, wholeBetween } from "@/seed/draws";
import type { Because, DemoEvent } from "@/seed/records";

/** Moment of an hour of the wall clock on a UTC day (to within the day of a clock change). */
export function atLocalHour(dayAt: number, hour: number, zone: string): number {
  return Math.round((dayAt + hour * HOUR_MS - offsetMsAt(dayAt + DAY_MS / 2, zone)) / 1000) * 1000;
}

/** Hour of day of an ordinary event: late morning is nearly three times as busy as the small hours. */
export function busyHour(chance: Chance): number {
  for (;;) {
    const hour = 24 * chance();
    if (chance() * 1.46 < 1 + 0.46 * Math.cos((2 * Math.PI * (hour - 12.5)) / 24)) return hour;
  }
}

/** An hour of the working day, 07 to 18. */
export function workingHour(chance: Chance): number {
  return between(chance, 7, 18);
}

/** Whether a UTC day is Saturday or Sunday. */
export function isWeekend(dayAt: number): boolean {
  const weekday = new Date(dayAt).getUTCDay();
  return weekday === 0 || weekday === 6;
}

/** A fault record; its length is log-normal about a median in minutes, one in forty lasts days. */
export function faultOf(
  chance: Chance,
  {
    detectorId,
    beganAt,
    cause,
    medianMin,
    because,
  }: { detectorId: string; beganAt: number; cause: FaultCause; medianMin: number; because: Because },
): DemoEvent {
  const lengthMin = lognormal(chance, { median: medianMin, spread: 1 }) * (chance() < 0.025 ? 30 : 1);
  const endedAt = beganAt + Math.max(1, Math.round(lengthMin * 60)) * 1000;
  return { detectorId, beganAt, endedAt, condition: "fault", cause, verdict: null, because };
}

/** A false fire record of some minutes with the verdict somebody gave it; a share is never judged. */
export function falseAlarmOf(
  chance: Chance,
  {
    detectorId,
    beganAt,
    because,
    equipment = 0.06,
  }: { detectorId: string; beganAt: number; because: Because; equipment?: number },
): DemoEvent {
  const verdict = pickWeighted<Verdict | null>(chance, [
    ["unwanted", 0.84 - equipment],
    ["equipment", equipment],
    ["unknown", 0.11],
    [null, 0.05],
  ]);
  const endedAt = beganAt + wholeBetween(chance, 2 * 60, 26 * 60) * 1000;
  return { detectorId, beganAt, endedAt, condition: "fire", cause: null, verdict, because };
}

/** The event with the records a panel and a lingering cause add: chatter within 30 minutes, an echo within a week. */
export function withFollowers(chance: Chance, event: DemoEvent): DemoEvent[] {
  const events = [event];
  const { beganAt, endedAt } = event;
  if (endedAt === null) return events;
  if (chance() < 0.2) {
    let lastEnd = endedAt;
    for (let left = wholeBetween(chance, 1, 3); left > 0; left -= 1) {
      const began = lastEnd + wholeBetween(chance, 60, 25 * 60) * 1000;
      lastEnd = began + wholeBetween(chance, 20, 400) * 1000;
      events.push({ ...event, beganAt: began, endedAt: lastEnd, because: "chatter" });
    }
  }
  if (chance() < 0.09) {
    const shift = Math.round(between(chance, 0.8, 6.5) * 24 * 60) * MINUTE_MS;
    events.push({ ...event, beganAt: beganAt + shift, endedAt: endedAt + shift, because: "echo" });
  }
  return events;
}
