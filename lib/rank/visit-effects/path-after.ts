import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";
import type { CauseRecord } from "@/lib/rank/visit-effects/cause-record";
import {
  daysWithin,
  type Moment,
  memoriesDays,
  type SignalState,
  signalOn,
  yearOf,
} from "@/lib/rank/visit-effects/features";
import { STEP_DAYS } from "@/lib/rank/visit-effects/unvisited-cells";

/** A step after a visit as it stands for every cause alike, had nobody come. */
export type PathStep = Span & {
  readonly atRiskDays: number;
  /** Days at risk before the step, by memory. */
  readonly exposuresDays: readonly number[];
  readonly signal: SignalState | null;
  readonly year: { readonly cos: number; readonly sin: number };
};

/** The steps of a span after a moment; the signal goes on as it went. */
export function pathAfter(record: CauseRecord, moment: Moment, span: Span): PathStep[] {
  const steps: PathStep[] = [];
  let exposuresDays = moment.exposuresDays;
  for (let { startAt } = span; startAt < span.endAt; startAt += STEP_DAYS * DAY_MS) {
    const endAt = Math.min(span.endAt, startAt + STEP_DAYS * DAY_MS);
    const atRiskDays = daysWithin(record.atRisk, { startAt, endAt });
    const signal = moment.signal && signalOn(moment.signal, (startAt - span.startAt) / DAY_MS);
    steps.push({ startAt, endAt, atRiskDays, exposuresDays, signal, year: yearOf(startAt, moment.south) });
    exposuresDays = memoriesDays.map((memory, index) =>
      carried(exposuresDays[index] ?? 0, { added: atRiskDays, days: (endAt - startAt) / DAY_MS, memory }),
    );
  }
  return steps;
}

/** What a memory of `memory` days holds some days on, with `added` spread over them. */
export function carried(
  held: number,
  { added, days, memory }: { added: number; days: number; memory: number },
): number {
  return held * Math.exp(-days / memory) + added * Math.exp(-days / 2 / memory);
}
