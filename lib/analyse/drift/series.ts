import { type Prepared, prepare } from "@/lib/analyse/drift/design";
import { resetsBefore } from "@/lib/analyse/drift/resets";
import type { DetectorHistory } from "@/lib/analyse/history";
import { attenuationOfObscuration } from "@/lib/kernel/units";

// A share that never moves is one that is not used.
const LEAST_COMPENSATION_MOVE = 2;
const COMPENSATION_LIMIT = 100;

/** The quantities of a detector that may drift, signal first; empty without readings. */
export function seriesOf({ signal, work, detector, asOf }: DetectorHistory): Prepared[] {
  if (signal === null) return [];
  const resets = resetsBefore(work, asOf);
  const limit = attenuationOfObscuration(detector.alarmThresholdPct);
  const received = prepare(signal, { quantity: "signal", limit, resets });
  if (!moves(signal.compensationPct)) return [received];
  return [received, prepare(signal, { quantity: "compensation", limit: COMPENSATION_LIMIT, resets })];
}

function moves(compensationPct: Float64Array): boolean {
  const first = compensationPct.find((value) => !Number.isNaN(value));
  return first !== undefined && compensationPct.some((value) => Math.abs(value - first) >= LEAST_COMPENSATION_MOVE);
}
