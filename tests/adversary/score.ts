import type { AnalysisResult } from "@/lib/rank/result";
import type { Settings } from "@/lib/settings/settings";
import { informedVisit } from "@/tests/adversary/informed";
import { calibrationOf } from "@/tests/adversary/score-calibration";
import { largest, type Pair, pairsOf, ratioOf, total } from "@/tests/adversary/score-parts";
import {
  causeOfTruth,
  type DetectorTruth,
  dominantOf,
  type PlantedKind,
  plantedKinds,
  trueCost,
  trueVisit,
} from "@/tests/adversary/truth";

/** Everything the scoreboard says of one analysis. */
export type Score = {
  readonly capture: ReturnType<typeof captureOf>;
  readonly visits: ReturnType<typeof visitsOf>;
  readonly calibration: ReturnType<typeof calibrationOf>;
  readonly findings: Readonly<Record<PlantedKind, FindingScore>>;
  /** Rows: true best task, columns: proposed task; of proposed visits, and of detectors worth a visit but not proposed. */
  readonly tasks: { readonly proposed: Table; readonly missed: Table };
  /** Rows: true dominant mechanism's cause, columns: the cause named. */
  readonly causes: { readonly proposed: Table; readonly missed: Table };
};

/** Counts by row and column. */
export type Table = Readonly<Record<string, Readonly<Record<string, number>>>>;

/** How often a kind was listed rightly. */
export type FindingScore = {
  readonly listed: number;
  readonly falselyListed: number;
  /** Share of the listed that are false; null when none is listed. */
  readonly falseShare: number | null;
  readonly strong: number;
  readonly recall: number | null;
  /** Detectors listed although there is nothing, with what acts on them. */
  readonly falseOnes: readonly string[];
};

const TOP_SHARE = 0.05;
const VISIT_SHARE = 0.1;

/** Measures an analysis against the truth of its fleet. */
export function scoreOf(
  result: AnalysisResult,
  { truth, settings }: { truth: ReadonlyMap<string, DetectorTruth>; settings: Settings },
): Score {
  const pairs = pairsOf(result, { truth, settings });
  const { proposed, missed } = partVisits(pairs);
  const taskTable = (list: readonly Pair[]) =>
    tableOf(
      list,
      ({ best }) => best.task,
      ({ ranked }) => ranked.visit.task,
    );
  const causeTable = (list: readonly Pair[]) =>
    tableOf(
      list,
      ({ truth: own, best }) => (best.net > 0 ? "" : "(none pays) ") + causeOfTruth(dominantOf(own, settings)),
      ({ ranked }) => ranked.visit.cause?.name ?? "unknown",
    );
  return {
    capture: captureOf(pairs, settings),
    visits: visitsOf(pairs, settings),
    calibration: calibrationOf(pairs, settings),
    findings: {
      rising_faults: findingScore(pairs, "rising_faults"),
      seasonal_alarms: findingScore(pairs, "seasonal_alarms"),
      repeat_realignment: findingScore(pairs, "repeat_realignment"),
      signal_drift: findingScore(pairs, "signal_drift"),
    },
    tasks: { proposed: taskTable(proposed), missed: taskTable(missed) },
    causes: { proposed: causeTable(proposed), missed: causeTable(missed) },
  };
}

// Worth of a detector: what its true best task avoids.
function captureOf(pairs: readonly Pair[], settings: Settings) {
  const size = Math.max(1, Math.round(TOP_SHARE * pairs.length));
  const worth = ({ best }: Pair) => Math.max(0, best.avoided);
  const whole = total(pairs, worth);
  const top = (figure: (pair: Pair) => number) => total(largest(pairs, figure).slice(0, size), worth);
  const ours = largest(pairs, ({ ranked }) => ranked.visit.avoidedCost.mean).slice(0, size);
  const perfect = top(worth);
  const informed = top(({ truth }) => informedVisit(truth, settings).avoided);
  const faults = top(({ ranked }) => ranked.record.faultEpisodes.length);
  const events = top(({ ranked }) => ranked.record.faultEpisodes.length + ranked.record.alarmEpisodes.length);
  return {
    avoidable: whole,
    ours: ratioOf(total(ours, worth), whole),
    oursByProposedTask: ratioOf(
      total(ours, ({ proposed }) => proposed.avoided),
      whole,
    ),
    mostFaults: ratioOf(faults, whole),
    mostEvents: ratioOf(events, whole),
    mostExpectedCost: ratioOf(
      top(({ ranked }) => ranked.expectedCost.mean),
      whole,
    ),
    trueExpectedCost: ratioOf(
      top(({ truth }) => trueCost(truth, settings)),
      whole,
    ),
    informed: ratioOf(informed, whole),
    perfect: ratioOf(perfect, whole),
    overMostFaults: ratioOf(total(ours, worth), faults),
    ofPerfect: ratioOf(total(ours, worth), perfect),
  };
}

function partVisits(pairs: readonly Pair[]) {
  const size = Math.max(1, Math.floor(VISIT_SHARE * pairs.length));
  const proposed = largest(
    pairs.filter(({ ranked }) => ranked.visit.netBenefit > 0),
    ({ ranked }) => ranked.visit.netBenefit,
  ).slice(0, size);
  const clairvoyant = largest(
    pairs.filter(({ best }) => best.net > 0),
    ({ best }) => best.net,
  ).slice(0, size);
  const chosen = new Set(proposed);
  return { size, proposed, clairvoyant, missed: clairvoyant.filter((pair) => !chosen.has(pair)) };
}

function visitsOf(pairs: readonly Pair[], settings: Settings) {
  const { size, proposed, clairvoyant } = partVisits(pairs);
  const perfect = total(clairvoyant, ({ best }) => best.net);
  const ours = total(proposed, (pair) => pair.proposed.net);
  const simple = largest(pairs, ({ ranked }) => ranked.record.faultEpisodes.length).slice(0, size);
  const byFaults = total(simple, ({ truth }) => trueVisit(truth, "clean", settings).net);
  const informed = largest(
    pairs.map(({ truth }) => ({ truth, visit: informedVisit(truth, settings) })).filter(({ visit }) => visit.net > 0),
    ({ visit }) => visit.net,
  ).slice(0, size);
  const byInformed = total(informed, ({ truth, visit }) => trueVisit(truth, visit.task, settings).net);
  const near = ({ best, proposed: own }: Pair) => own.net >= best.net - 0.05 * Math.max(best.cost, own.cost);
  const helped = proposed.filter(({ best }) => best.net > 0);
  return {
    allowed: size,
    proposed: proposed.length,
    clairvoyantVisits: clairvoyant.length,
    trueNetOfOurs: ours,
    predictedNetOfOurs: total(proposed, ({ ranked }) => ranked.visit.netBenefit),
    trueNetIfBestTask: total(proposed, ({ best }) => best.net),
    trueNetOfPerfect: perfect,
    trueNetOfSimplePractice: byFaults,
    ofPerfect: ratioOf(ours, perfect),
    informedOfPerfect: ratioOf(byInformed, perfect),
    simpleOfPerfect: ratioOf(byFaults, perfect),
    paying: ratioOf(proposed.filter((pair) => pair.proposed.net > 0).length, proposed.length),
    rightTask: ratioOf(proposed.filter(near).length, proposed.length),
    rightTaskStrict: ratioOf(
      proposed.filter(({ best, proposed: own }) => best.task === own.task).length,
      proposed.length,
    ),
    rightTaskWhereWorthwhile: ratioOf(helped.filter(near).length, helped.length),
  };
}

function findingScore(pairs: readonly Pair[], kind: PlantedKind): FindingScore {
  const listed = pairs.filter(({ ranked }) => ranked.findings.some((finding) => finding.kind === kind));
  const wrong = listed.filter(({ truth }) => truth.planted[kind] === "none");
  const strong = pairs.filter(({ truth }) => truth.planted[kind] === "strong");
  const found = new Set(listed);
  return {
    listed: listed.length,
    falselyListed: wrong.length,
    falseShare: ratioOf(wrong.length, listed.length),
    strong: strong.length,
    recall: ratioOf(strong.filter((pair) => found.has(pair)).length, strong.length),
    falseOnes: wrong.map(
      ({ ranked, truth }) =>
        `${ranked.detectorId}: ${truth.mechanisms
          .slice(0, 4)
          .map(({ mechanism, faults, alarms }) => `${mechanism} ${faults.toFixed(2)}/${alarms.toFixed(2)}`)
          .join(", ")}`,
    ),
  };
}

function tableOf(pairs: readonly Pair[], row: (pair: Pair) => string, column: (pair: Pair) => string): Table {
  const table: Record<string, Record<string, number>> = {};
  for (const pair of pairs) {
    const counts = table[row(pair)] ?? {};
    table[row(pair)] = counts;
    counts[column(pair)] = (counts[column(pair)] ?? 0) + 1;
  }
  return table;
}

/** Names of the kinds that are scored. */
export const scoredKinds = plantedKinds;
