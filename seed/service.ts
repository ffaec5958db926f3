import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";
import { dayOfYear } from "@/seed/climate";
import { pick, wholeBetween } from "@/seed/draws";
import { atLocalHour, isWeekend } from "@/seed/event-draws";
import type { DemoDetector, DemoSite } from "@/seed/fleet";
import type { Period } from "@/seed/period";
import type { DemoEvent, DemoWork } from "@/seed/records";

/** Whether the yearly service of a site begins on a day of the period; the last one is left out where the site skips it. */
export function isServiceDay(site: DemoSite, { period, day }: { period: Period; day: number }): boolean {
  if (dayOfYear(period.startAt + day * DAY_MS) !== site.serviceDayOfYear) return false;
  return !(site.skipsLastService && day >= period.days - 366);
}

/** The working day after a service day on which a detector of the site gets its turn: eight detectors a day. */
export function serviceDayOf(slot: number, { period, day }: { period: Period; day: number }): number {
  let turn = day;
  for (let left = Math.floor(slot / 8); left >= 0; left -= 1) {
    while (isWeekend(period.startAt + turn * DAY_MS)) turn += 1;
    if (left > 0) turn += 1;
  }
  return turn;
}

/** What the beam shows before and after each step of a service, percent. */
export type ServiceSignals = { readonly before: number; readonly afterClean: number; readonly realigned: boolean };

/** The yearly service of one detector: a disablement, inside it cleaning, the two function tests and what they set off. */
export function serviceOf(
  chance: Chance,
  {
    site,
    detector,
    dayAt,
    slot,
    signals,
  }: { site: DemoSite; detector: DemoDetector; dayAt: number; slot: number; signals: ServiceSignals },
): { readonly events: DemoEvent[]; readonly work: DemoWork[] } {
  const { detectorId } = detector;
  const beganAt = atLocalHour(dayAt, 8 + (slot % 8) * 0.9, site.country.timeZone);
  const at = (minutes: number) => beganAt + minutes * MINUTE_MS;
  const events: DemoEvent[] = [
    event(detectorId, { beganAt, endedAt: at(wholeBetween(chance, 47, 54)), condition: "disablement" }),
    event(detectorId, { beganAt: at(33), endedAt: at(34), condition: "fire" }),
    event(detectorId, { beganAt: at(41), endedAt: at(42), condition: "fault", cause: "path_blocked" }),
  ];
  const told = pick(chance, [
    "receiving centre, insurer",
    "receiving centre",
    "receiving centre, insurer, fire service",
  ]);
  const row = { detectorId, reactive: false, told, interim: null, note: null, result: null };
  const work: DemoWork[] = [
    {
      ...row,
      doneAt: at(18),
      task: "clean",
      signalBeforePct: signals.before,
      signalAfterPct: signals.afterClean,
      durationMin: wholeBetween(chance, 12, 18),
    },
  ];
  if (signals.realigned) {
    const realign = { signalBeforePct: signals.afterClean, signalAfterPct: 100, durationMin: 12 };
    work.push({ ...row, ...realign, doneAt: at(31), task: "realign" });
  }
  const failed = chance() < 0.012;
  const noSignal = { signalBeforePct: null, signalAfterPct: null };
  work.push(
    { ...row, ...noSignal, doneAt: at(36), task: "filter_test", result: failed ? "fail" : "pass", durationMin: 5 },
    {
      ...row,
      ...noSignal,
      doneAt: at(44),
      task: "block_test",
      result: chance() < 0.004 ? "fail" : "pass",
      durationMin: 5,
    },
  );
  return { events, work };
}

function event(
  detectorId: string,
  own: Pick<DemoEvent, "beganAt" | "endedAt" | "condition"> & Partial<Pick<DemoEvent, "cause">>,
): DemoEvent {
  return { detectorId, cause: null, verdict: null, because: "service", ...own };
}
