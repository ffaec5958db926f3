import { describe, expect, it } from "vitest";
import { findAll } from "@/lib/analyse/find";
import { findingKinds } from "@/lib/analyse/findings/registry";
import { fleetContext } from "@/lib/analyse/fleet-context";
import { makeHistory } from "@/tests/fixtures/ranked";
import { type Planted, SIMULATED_AS_OF, simulateFleet } from "@/tests/fixtures/simulated-fleet";

const QUIET_FLEETS = 12;
const PLANTED_FLEETS = 3;

/** What is planted for each kind, and the least share of the planted detectors it must name. */
const plantedFor: Readonly<Record<string, { planted: Planted; recall: number }>> = {
  rising_faults: { planted: "rising", recall: 0.25 },
  seasonal_alarms: { planted: "season", recall: 0.5 },
  repeat_realignment: { planted: "mount", recall: 0.6 },
  signal_drift: { planted: "soiling", recall: 0.9 },
};

function listed(seed: string, planted: Planted) {
  const fleet = simulateFleet({ seed, planted });
  const history = makeHistory({ asOf: SIMULATED_AS_OF, records: fleet.records, series: fleet.series });
  return { fleet, judged: findAll(fleetContext(history, { horizonDays: 90 })) };
}

describe("on quiet fleets with bursts, common cause and a season", () => {
  const quiet = Array.from({ length: QUIET_FLEETS }, (_, index) => listed(`quiet ${index}`, "none").judged);

  it.each(findingKinds.map((kind) => kind.name))("%s names a detector in few fleets", (kind) => {
    // With nothing to find every listed detector is false, so the false-discovery rate is the share of fleets with one:
    // 5 % of 12 is 0.6, and more than 3 has a chance of 0.2 % under the limit.
    const speaking = quiet.filter((judged) => judged.some(({ findings }) => findings.some((one) => one.kind === kind)));
    expect(speaking.length).toBeLessThanOrEqual(3);
  });
});

describe("on fleets with planted causes", () => {
  it.each(findingKinds.map((kind) => kind.name))("%s names most of what is planted and little else", (kind) => {
    const { planted, recall } = plantedFor[kind] ?? { planted: "none", recall: 1 };
    const counts = { planted: 0, found: 0, wrong: 0 };
    for (let index = 0; index < PLANTED_FLEETS; index += 1) {
      const { fleet, judged } = listed(`planted ${kind} ${index}`, planted);
      for (const { detectorId, findings } of judged) {
        const isPlanted = fleet.truth.get(detectorId) === planted;
        const isNamed = findings.some((one) => one.kind === kind);
        counts.planted += isPlanted ? 1 : 0;
        counts.found += isPlanted && isNamed ? 1 : 0;
        counts.wrong += !isPlanted && isNamed ? 1 : 0;
      }
    }
    console.info(kind, counts);
    expect(counts.found / counts.planted).toBeGreaterThanOrEqual(recall);
    expect(counts.wrong / Math.max(1, counts.found + counts.wrong)).toBeLessThanOrEqual(0.15);
  });
});
