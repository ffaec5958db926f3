import { describe, expect, it } from "vitest";
import { binomialQuantile } from "@/lib/statistics/distributions";
import { measureSeed } from "@/tests/adversary/measure";
import { type PlantedKind, plantedKinds } from "@/tests/adversary/truth";
import { type FleetLine, type FleetSpec, judgeFleet } from "@/tests/bench/judged-fleet";

const LIMIT = 0.05;
const QUIET_FLEETS = 10;

function fleetsOf(kind: FleetSpec["kind"], { count, detectors }: { count: number; detectors: number }): FleetLine[] {
  return Array.from({ length: count }, (_, place) => {
    const simulator = place % 2 === 0 ? "adversary" : "simple";
    return judgeFleet({ kind, simulator, seed: `test ${kind} ${place}`, detectors }, place);
  });
}

function sumOf(lines: readonly FleetLine[], kind: PlantedKind, key: keyof FleetLine["kinds"][PlantedKind]): number {
  return lines.reduce((sum, { kinds }) => sum + kinds[kind][key], 0);
}

// Made by the first test that asks, so that a failure names a test.
function once<Value>(make: () => Value): () => Value {
  let made: { readonly value: Value } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

// So many are exceeded once in a thousand where each of n has the chance p.
const seldomAbove = (n: number, p: number) => binomialQuantile(0.999, { n, p });

describe("on quiet fleets of both simulators, with bursts, common cause and a season", () => {
  const quiet = once(() => fleetsOf("quiet", { count: QUIET_FLEETS, detectors: 200 }));

  it.each(plantedKinds)("%s names a detector in few fleets", (kind) => {
    // With nothing to find every listed detector is false, so the rate of false discovery is the share of such fleets.
    const speaking = quiet().filter(({ kinds }) => kinds[kind].wrong > 0).length;
    expect(speaking).toBeLessThanOrEqual(seldomAbove(QUIET_FLEETS, LIMIT));
  });

  it.each(plantedKinds)("%s gives small chances to no more detectors than they say", (kind) => {
    const family = sumOf(quiet(), kind, "family");
    expect(family).toBeGreaterThan(100);
    expect(sumOf(quiet(), kind, "at05")).toBeLessThanOrEqual(seldomAbove(family, 0.05));
    expect(sumOf(quiet(), kind, "at01")).toBeLessThanOrEqual(seldomAbove(family, 0.01));
  });
});

/** Shares of the planted detectors each kind must name, well under what is measured; null where it names next to none. */
const floors: Readonly<Record<PlantedKind, { readonly simple: number; readonly adversary: number | null }>> = {
  rising_faults: { simple: 0.1, adversary: null },
  seasonal_alarms: { simple: 0.4, adversary: 0.2 },
  repeat_realignment: { simple: 0.4, adversary: 0.3 },
  signal_drift: { simple: 0.85, adversary: 0.6 },
};

describe("on fleets with planted causes", () => {
  const planted = once(() => fleetsOf("planted", { count: 8, detectors: 200 }));

  it.each(plantedKinds)("%s names what is planted and little else", (kind) => {
    for (const simulator of ["simple", "adversary"] as const) {
      const lines = planted().filter((line) => line.simulator === simulator);
      const [strong, found] = [sumOf(lines, kind, "strong"), sumOf(lines, kind, "strongFound")];
      expect(strong).toBeGreaterThanOrEqual(10);
      expect(found / strong).toBeGreaterThanOrEqual(floors[kind][simulator] ?? 0);
      expect(sumOf(lines, kind, "wrong")).toBeLessThanOrEqual(seldomAbove(sumOf(lines, kind, "listed"), LIMIT));
    }
  });
});

describe("the ranking of a fleet whose causes no method was fitted to", () => {
  const score = once(() => measureSeed("calibration", { detectors: 400 }).score);

  it.each(["faults", "alarms"] as const)(
    "expects as many %s as are truly to be expected, with honest intervals",
    (name) => {
      const { predictedOverExpected, coverage } = score().calibration[name];
      expect(predictedOverExpected).toBeGreaterThan(0.75);
      expect(predictedOverExpected).toBeLessThan(1.33);
      expect(coverage).toBeGreaterThan(0.82);
      expect(coverage).toBeLessThan(0.98);
    },
  );

  it("finds much more of the avoidable cost than chance does, and proposes visits that pay in all", () => {
    // Twenty of 400 detectors hold a twentieth by chance. How it stands to counting faults is told on larger fleets:
    // `npm run -s bench -- ranking`.
    expect(score().capture.ours).toBeGreaterThan(2 * 0.05);
    expect(score().visits.trueNetOfOurs).toBeGreaterThan(0);
  });

  it.each(plantedKinds)("lists no more false %s than the limit and chance allow", (kind) => {
    const { listed, falselyListed } = score().findings[kind];
    expect(falselyListed).toBeLessThanOrEqual(seldomAbove(listed, LIMIT));
  });
});
