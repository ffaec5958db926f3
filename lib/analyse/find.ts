import type { Finding, TestResult } from "@/lib/analyse/finding";
import { findingKinds } from "@/lib/analyse/findings/registry";
import type { FindingsContext } from "@/lib/analyse/findings-context";
import { benjaminiHochberg } from "@/lib/statistics/benjamini-hochberg";

/** What every test says of one detector, and the findings inside the fleet-wide limit, strongest first. */
export type Judged = {
  readonly detectorId: string;
  /** By kind, always all kinds. */
  readonly tests: Readonly<Record<string, TestResult>>;
  readonly findings: readonly Finding[];
};

/**
 * Runs every kind over every detector, then applies the false-discovery limit to each kind over the whole fleet.
 *
 * A detector with too little data is in no family, unless its test was held back because of the very count that is
 * tested: leaving those out would pick the remarkable ones beforehand, so they count as p = 1.
 */
export function findAll(fleet: FindingsContext): Judged[] {
  const limit = fleet.history.settings.falseDiscoveryLimit;
  const judged = fleet.history.detectors.map(({ detector }): Open => {
    return { detectorId: detector.detectorId, tests: new Map(), findings: [] };
  });
  for (const kind of findingKinds) {
    const results = fleet.history.detectors.map((history) => kind.test(history, fleet));
    const tested = results.flatMap((result, index) => (result.outcome === "tested" ? [{ result, index }] : []));
    const heldBack = results.filter((result) => result.outcome === "too_little_data" && result.countsInFamily);
    const qValues = benjaminiHochberg([...tested.map(({ result }) => result.pValue), ...heldBack.map(() => 1)]);
    for (const [index, result] of results.entries()) judged[index]?.tests.set(kind.name, result);
    for (const [place, { result, index }] of tested.entries()) {
      const qValue = qValues[place] ?? 1;
      if (qValue <= limit) judged[index]?.findings.push({ ...result, kind: kind.name, qValue });
    }
  }
  return judged.map(({ detectorId, tests, findings }) => ({
    detectorId,
    tests: Object.fromEntries(tests),
    findings: findings.sort((a, b) => a.qValue - b.qValue),
  }));
}

type Open = { readonly detectorId: string; readonly tests: Map<string, TestResult>; readonly findings: Finding[] };
