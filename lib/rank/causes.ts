import type { Judged } from "@/lib/analyse/find";
import { type Threat, threats } from "@/lib/analyse/findings/kind";
import type { DetectorForecast } from "@/lib/analyse/forecast";
import type { DetectorHistory } from "@/lib/analyse/history";
import type { Cause, EventKind } from "@/lib/analyse/modes/cause";

/** A part of a detector's expected events with the cause that is likely behind it, and how sure that is (0 to 1). */
export type FailureMode = {
  readonly kind: EventKind;
  /** Events expected over the horizon without a visit, and the variance of their number. */
  readonly mean: number;
  readonly variance: number;
  readonly cause: Cause;
  readonly certainty: number;
};

const LISTED = 0.9;
const SUSPECTED = 0.5;
const SUSPECTED_P = 0.05;
const RECORDED = 0.8;

/**
 * Failure modes of one detector: faults of a blocked path, its other faults, its own false alarms.
 *
 * The cause of each comes from the findings that bear on it: sure where one is listed, half where a test speaks only for
 * this detector (p below 5 %), else from what panel and verdicts recorded, else unknown.
 */
export function failureModes(
  history: DetectorHistory,
  { judged, forecast }: { judged: Judged; forecast: DetectorForecast },
): FailureMode[] {
  const { faults, unwantedAlarms } = forecast;
  const blocked = shareOf(history.faults, ({ cause }) => cause === "path_blocked");
  const others = causeFrom(judged, ["repeat_realignment", "signal_drift", "rising_faults"], ["blocked path"]);
  const alarms = causeFrom(judged, ["seasonal_alarms", "signal_drift", "repeat_realignment"], []);
  return [
    {
      kind: "fault",
      mean: faults.mean * blocked,
      variance: faults.variance * blocked,
      cause: "blocked path",
      certainty: RECORDED,
    },
    {
      kind: "fault",
      mean: faults.mean * (1 - blocked),
      variance: faults.variance * (1 - blocked),
      ...(others ?? recordedFaults(history, { judged, forecast })),
    },
    {
      kind: "alarm",
      mean: unwantedAlarms.mean,
      variance: unwantedAlarms.variance,
      ...(alarms ?? recordedAlarms(history)),
    },
  ];
}

type Likely = Pick<FailureMode, "cause" | "certainty">;
const unknown: Likely = { cause: "unknown", certainty: 1 };

function causeFrom(judged: Judged, kinds: readonly string[], except: readonly Threat[]): Likely | null {
  const candidates = kinds.flatMap((kind) => {
    const test = judged.tests[kind];
    if (test?.outcome !== "tested") return [];
    const threat = threats.find((one) => one === test.threat && !except.includes(one));
    if (threat === undefined) return [];
    const listed = judged.findings.some((finding) => finding.kind === kind);
    if (!listed && test.pValue >= SUSPECTED_P) return [];
    return [{ cause: threat, certainty: listed ? LISTED : SUSPECTED }];
  });
  return candidates.reduce<Likely | null>((best, one) => (best && best.certainty >= one.certainty ? best : one), null);
}

function recordedFaults(
  { faults }: DetectorHistory,
  { judged, forecast }: { judged: Judged; forecast: DetectorForecast },
): Likely {
  if (forecast.faultsFromDrift > forecast.faults.mean / 2) return { cause: "soiling", certainty: SUSPECTED };
  const limit = shareOf(faults, ({ cause }) => cause === "compensation_limit");
  if (faults.length >= 2 && limit >= 0.5) return { cause: "compensation at its limit", certainty: RECORDED };
  // A rise that neither signal, path nor mount explains points to the detector itself wearing out.
  const rises = judged.findings.some(({ kind, threat }) => kind === "rising_faults" && threat === null);
  return rises ? { cause: "equipment", certainty: SUSPECTED } : unknown;
}

function recordedAlarms({ ownAlarms }: DetectorHistory): Likely {
  const equipment = shareOf(ownAlarms, ({ verdict }) => verdict === "equipment");
  return ownAlarms.length >= 3 && equipment >= 0.6 ? { cause: "equipment", certainty: RECORDED } : unknown;
}

function shareOf<Item>(items: readonly Item[], fits: (item: Item) => boolean): number {
  return items.length === 0 ? 0 : items.filter(fits).length / items.length;
}
