import type { Cause } from "@/lib/analyse/modes/cause";
import type { WeighedSets } from "@/lib/analyse/modes/cause-sets";
import type { KindModel } from "@/lib/analyse/modes/kind-model";
import type { CauseShare } from "@/lib/analyse/modes/mode-model";
import type { ModeUnit } from "@/lib/analyse/modes/mode-units";
import { ownWindow } from "@/lib/analyse/modes/own-window";
import { WEEK_MS } from "@/lib/analyse/modes/week-grid";
import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

/** A detector as fitted, and how many episodes a strike brings. */
export type CauseRates = {
  readonly model: KindModel;
  readonly weighed: WeighedSets;
  readonly episodesEach: number;
};

const LEAST_EXPECTED = 1e-6;

/** Probability of each cause for each event of a detector, oldest first, likeliest cause first; they sum to 1. */
export function sharesByCause(unit: ModeUnit, { model, weighed }: CauseRates): CauseShare[][] {
  const columns = model.causes.length + 1;
  return unit.events.map((_, row) => ranked(unit, model, (column) => weighed.shares[row * columns + column] ?? 0));
}

/** Episodes expected of a detector over a span at or after `asOf`, by cause, most first; empty for an empty span. */
export function expectedByCause(
  unit: ModeUnit,
  { model, weighed, episodesEach, asOf, span }: CauseRates & { asOf: number; span: Span },
): CauseShare[] {
  const { history, kinds } = unit.ground;
  const days = (span.endAt - span.startAt) / DAY_MS;
  const sums = new Float64Array(model.causes.length + 1);
  for (let column = 0; column < sums.length; column += 1) {
    const rate = (weighed.rates[column] ?? 0) * episodesEach;
    if (!(days > 0) || rate * days < LEAST_EXPECTED) continue;
    const intensity =
      column < model.causes.length
        ? kinds[model.kind].intensities[column]?.ahead(asOf)
        : ownWindow(unit.events, history.site.timeZone).ofDay;
    if (intensity) sums[column] = rate * integral(intensity, span);
  }
  return ranked(unit, model, (column) => sums[column] ?? 0).filter(({ value }) => value > 0);
}

// In steps of a week at most, by their middles; days times intensity.
function integral(intensity: (moment: number) => number, { startAt, endAt }: Span): number {
  const steps = Math.max(1, Math.ceil((endAt - startAt) / WEEK_MS));
  const step = (endAt - startAt) / steps;
  let sum = 0;
  for (let index = 0; index < steps; index += 1) sum += intensity(startAt + (index + 0.5) * step);
  return (sum * step) / DAY_MS;
}

// Largest first. The own window is a season nobody has named yet: part of the unknown cause. Compensation that is used
// up is a sign, not a cause: as far as the signal tells of a loss that cleaning does not lift, the detector is ageing.
function ranked({ agedShare }: ModeUnit, { causes }: KindModel, amountOf: (column: number) => number): CauseShare[] {
  const sums = new Map<Cause, number>();
  const add = (cause: Cause, amount: number) => sums.set(cause, (sums.get(cause) ?? 0) + amount);
  for (const [column, cause] of causes.entries()) {
    const amount = amountOf(column);
    const aged = cause === "compensation at its limit" ? agedShare * amount : 0;
    add(cause, amount - aged);
    if (aged > 0) add("ageing", aged);
  }
  add("unknown", amountOf(causes.length));
  return [...sums].map(([cause, value]) => ({ cause, value })).sort((a, b) => b.value - a.value);
}
