import type { EventKind } from "@/lib/analyse/modes/cause";
import type { Estimate } from "@/lib/kernel/interval";
import type { RankedMember } from "@/lib/rank/site-result";
import { spreadAround } from "@/lib/rank/spread";
import type { Settings } from "@/lib/settings/settings";

/** Standard deviation of the level of all forecasts of a kind, as a share of it. */
export type LevelDoubt = Readonly<Record<EventKind, number>>;

/**
 * Expected cost of several detectors together, minor units: chance is each detector's own, the level of the forecast is
 * common to all and grows with the sum.
 */
export function summedCost(
  members: readonly RankedMember[],
  { settings, levelDoubt }: { settings: Settings; levelDoubt: LevelDoubt },
): Estimate {
  const sums = { mean: 0, variance: 0, faults: 0, alarms: 0 };
  for (const { ranked, costVariance } of members) {
    sums.mean += ranked.expectedCost.mean;
    sums.variance += costVariance;
    sums.faults += ranked.expected.faults.mean;
    sums.alarms += ranked.expected.unwantedAlarms.mean;
  }
  const common =
    (settings.perFaultEpisode * levelDoubt.fault * sums.faults) ** 2 +
    (settings.perUnwantedAlarm * levelDoubt.alarm * sums.alarms) ** 2;
  return spreadAround({ mean: sums.mean, variance: sums.variance + common });
}
