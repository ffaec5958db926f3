import { findAll, type Judged } from "@/lib/analyse/find";
import { findingsContext } from "@/lib/analyse/findings-context";
import { simulateAdversary } from "@/tests/adversary/simulate";
import { type Planted, type PlantedKind, plantedKinds } from "@/tests/adversary/truth";
import { makeHistory } from "@/tests/fixtures/ranked";
import { SIMULATED_AS_OF, type Planted as SimplyPlanted, simulateFleet } from "@/tests/fixtures/simulated-fleet";

/** A fleet to judge: which simulator draws it, and whether anything is planted in it. */
export type FleetSpec = {
  readonly kind: "quiet" | "planted";
  readonly simulator: "adversary" | "simple";
  readonly seed: string;
  readonly detectors: number;
};

/** What one kind said of one fleet; detectors unless said otherwise. */
export type KindCounts = {
  readonly tested: number;
  /** Tested, or held back for the very count that is tested and so counted with a p-value of 1. */
  readonly family: number;
  readonly listed: number;
  /** Listed although there is nothing; all listed ones in a quiet fleet. */
  readonly wrong: number;
  readonly strong: number;
  readonly strongFound: number;
  readonly mild: number;
  readonly mildFound: number;
  /** Tested with a p-value of at most .05, .01 and .001. */
  readonly at05: number;
  readonly at01: number;
  readonly at001: number;
};

/** One line of the bench. */
export type FleetLine = FleetSpec & { readonly kinds: Readonly<Record<PlantedKind, KindCounts>> };

/** What the simple simulator plants for each kind. */
const simplyPlanted: Readonly<Record<PlantedKind, SimplyPlanted>> = {
  rising_faults: "rising",
  seasonal_alarms: "season",
  repeat_realignment: "mount",
  signal_drift: "soiling",
};

/** Draws a fleet, makes its findings and counts them against the truth. */
export function judgeFleet(spec: FleetSpec, place: number): FleetLine {
  const { judged, truthOf } = spec.simulator === "adversary" ? adversaryFleet(spec) : simpleFleet(spec, place);
  const counts = (kind: PlantedKind) => countsOf(kind, { judged, truthOf, quiet: spec.kind === "quiet" });
  return {
    ...spec,
    kinds: {
      rising_faults: counts("rising_faults"),
      seasonal_alarms: counts("seasonal_alarms"),
      repeat_realignment: counts("repeat_realignment"),
      signal_drift: counts("signal_drift"),
    },
  };
}

type TruthOf = (detectorId: string, kind: PlantedKind) => Planted;
type JudgedFleet = { readonly judged: readonly Judged[]; readonly truthOf: TruthOf };

function adversaryFleet({ kind, seed, detectors }: FleetSpec): JudgedFleet {
  // The futures decide no finding: one path is enough.
  const fleet = simulateAdversary({ seed, detectors, quiet: kind === "quiet", paths: 1 });
  const { records, series, asOf, horizonDays, truth } = fleet;
  return {
    judged: findAll(findingsContext(makeHistory({ asOf, records, series }), { horizonDays })),
    truthOf: (detectorId, about) => truth.get(detectorId)?.planted[about] ?? "none",
  };
}

// Each planted fleet carries one kind, in turn.
function simpleFleet({ kind, seed, detectors }: FleetSpec, place: number): JudgedFleet {
  const about = plantedKinds[Math.floor(place / 2) % plantedKinds.length] ?? "rising_faults";
  const planted = kind === "quiet" ? "none" : simplyPlanted[about];
  const { records, series, truth } = simulateFleet({ seed, detectors, planted });
  return {
    judged: findAll(findingsContext(makeHistory({ asOf: SIMULATED_AS_OF, records, series }), { horizonDays: 90 })),
    truthOf: (detectorId, asked) => (truth.get(detectorId) === simplyPlanted[asked] ? "strong" : "none"),
  };
}

function countsOf(
  kind: PlantedKind,
  { judged, truthOf, quiet }: JudgedFleet & { readonly quiet: boolean },
): KindCounts {
  const pValues = judged.flatMap(({ tests }) => {
    const result = tests[kind];
    return result?.outcome === "tested" ? [result.pValue] : [];
  });
  const heldBack = judged.filter(({ tests }) => {
    const result = tests[kind];
    return result?.outcome === "too_little_data" && result.countsInFamily;
  });
  const of = (planted: Planted) => judged.filter(({ detectorId }) => truthOf(detectorId, kind) === planted);
  const found = (list: readonly Judged[]) => list.filter(({ findings }) => findings.some((one) => one.kind === kind));
  const [strong, mild] = [of("strong"), of("mild")];
  const listed = found(judged).length;
  const upTo = (limit: number) => pValues.filter((p) => p <= limit).length;
  return {
    tested: pValues.length,
    family: pValues.length + heldBack.length,
    listed,
    wrong: quiet ? listed : found(of("none")).length,
    strong: strong.length,
    strongFound: found(strong).length,
    mild: mild.length,
    mildFound: found(mild).length,
    at05: upTo(0.05),
    at01: upTo(0.01),
    at001: upTo(0.001),
  };
}
