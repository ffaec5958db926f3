import { type PlantedKind, plantedKinds } from "@/tests/adversary/truth";
import type { FleetLine, KindCounts } from "@/tests/bench/judged-fleet";
import { proportionOf, rounded } from "@/tests/bench/proportion";

/** What all fleets say together, by kind: false discovery and size on quiet fleets, recall on planted ones. */
export function findingsSummary(lines: readonly FleetLine[]) {
  const quiet = lines.filter(({ kind }) => kind === "quiet");
  const planted = lines.filter(({ kind }) => kind === "planted");
  const bySimulator = (list: readonly FleetLine[], simulator: FleetLine["simulator"]) =>
    list.filter((line) => line.simulator === simulator);
  return {
    summary: "findings" as const,
    quiet: {
      fleets: quiet.length,
      detectors: quiet.reduce((sum, { detectors }) => sum + detectors, 0),
      withAnyWrong: proportionOf(quiet.filter(anyWrong).length, quiet.length),
      kinds: byKind((kind) => quietKind(quiet, kind)),
      adversary: byKind((kind) => quietKind(bySimulator(quiet, "adversary"), kind)),
      simple: byKind((kind) => quietKind(bySimulator(quiet, "simple"), kind)),
    },
    planted: {
      adversary: byKind((kind) => plantedKind(bySimulator(planted, "adversary"), kind)),
      simple: byKind((kind) => plantedKind(bySimulator(planted, "simple"), kind)),
    },
  };
}

/** The summary's shape. */
export type FindingsSummary = ReturnType<typeof findingsSummary>;

function anyWrong({ kinds }: FleetLine): boolean {
  return plantedKinds.some((kind) => kinds[kind].wrong > 0);
}

function byKind<Value>(of: (kind: PlantedKind) => Value): Readonly<Record<PlantedKind, Value>> {
  return {
    rising_faults: of("rising_faults"),
    seasonal_alarms: of("seasonal_alarms"),
    repeat_realignment: of("repeat_realignment"),
    signal_drift: of("signal_drift"),
  };
}

// With nothing to find, the false share of a fleet is 1 or 0, so its mean is the share of fleets with a wrong finding.
function quietKind(lines: readonly FleetLine[], kind: PlantedKind) {
  const counts = lines.map(({ kinds }) => kinds[kind]);
  const sum = sumOver(counts);
  const detectors = lines.reduce((whole, line) => whole + line.detectors, 0);
  const [tested, family] = [sum("tested"), sum("family")];
  return {
    fleetsWithWrong: proportionOf(counts.filter(({ wrong }) => wrong > 0).length, counts.length),
    wrong: sum("wrong"),
    wrongOfDetectors: detectors > 0 ? rounded(sum("wrong") / detectors) : null,
    tested,
    at05: shareOf(sum("at05"), tested),
    at01: shareOf(sum("at01"), tested),
    at001: shareOf(sum("at001"), tested),
    family,
    at05OfFamily: shareOf(sum("at05"), family),
    at01OfFamily: shareOf(sum("at01"), family),
    at001OfFamily: shareOf(sum("at001"), family),
  };
}

function plantedKind(lines: readonly FleetLine[], kind: PlantedKind) {
  const counts = lines.map(({ kinds }) => kinds[kind]);
  const sum = sumOver(counts);
  const falseShares = counts.map(({ wrong, listed }) => (listed > 0 ? wrong / listed : 0));
  return {
    fleets: lines.length,
    listed: sum("listed"),
    wrong: sum("wrong"),
    falseShare: shareOf(sum("wrong"), sum("listed")),
    meanFalseShareOfFleets: shareOf(
      falseShares.reduce((whole, share) => whole + share, 0),
      falseShares.length,
    ),
    strong: proportionOf(sum("strongFound"), sum("strong")),
    mild: proportionOf(sum("mildFound"), sum("mild")),
  };
}

function sumOver(counts: readonly KindCounts[]): (key: keyof KindCounts) => number {
  return (key) => counts.reduce((sum, one) => sum + one[key], 0);
}

function shareOf(part: number, whole: number): number | null {
  return whole > 0 ? rounded(part / whole) : null;
}
