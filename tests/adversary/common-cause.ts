import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import { between, pick } from "@/tests/adversary/dice";
import type { HiddenSite, Span } from "@/tests/adversary/site";

/** Writes faults of whole sites: supply, communication, storms; each strikes most detectors within minutes. */
export function writeCommonCause(
  chance: Chance,
  { hidden, span, events }: { hidden: HiddenSite; span: Span; events: Event[] },
) {
  const total = span.days + span.horizonDays;
  const yearly = between(chance, 0.5, 2);
  for (let day = 0; day < total; ) {
    day += -Math.log(1 - chance()) * (365.25 / yearly);
    if (day >= total) break;
    const cause = pick(chance, ["power", "communication", "low_signal", "unknown"]);
    const beganAt = span.startAt + day * DAY_MS;
    const length = between(chance, 0.1, 12) * HOUR_MS;
    const inService = hidden.members.filter(({ traits }) => traits.bornDay < day - 1);
    const share = inService.length < 8 ? 1 : between(chance, 0.75, 1);
    for (const { detector } of inService) {
      if (chance() > share) continue;
      const at = Math.round((beganAt + between(chance, 0, 5) * MINUTE_MS) / 1000) * 1000;
      events.push({
        detectorId: detector.detectorId,
        beganAt: at,
        endedAt: Math.round((at + length) / 1000) * 1000,
        condition: "fault",
        cause: chance() < hidden.habits.missing ? null : cause,
        verdict: null,
      });
    }
  }
}
