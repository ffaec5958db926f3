import { clustersOf } from "@/lib/analyse/episodes";
import type { Cause } from "@/lib/analyse/modes/cause";
import { type FittedModes, fitModes } from "@/lib/analyse/modes/fit-modes";
import { alarmKind, faultKind, type KindModel } from "@/lib/analyse/modes/kind-model";
import { evidenceFor } from "@/lib/analyse/modes/mode-evidence";
import type { ModeGround } from "@/lib/analyse/modes/mode-ground";
import type { CauseShare, ModeModel } from "@/lib/analyse/modes/mode-model";
import { type ModeUnit, modeUnits } from "@/lib/analyse/modes/mode-units";
import { ownWindow } from "@/lib/analyse/modes/own-window";
import { WEEK_MS } from "@/lib/analyse/modes/week-grid";
import type { Span } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

const CLUSTER_DAYS = 7;
const LEAST_EXPECTED = 1e-6;

/** Faults of a fleet taken apart by cause, as known at `asOf`, which may lie before the ground's own moment. */
export function fitFaultModes(ground: ModeGround, { asOf }: { asOf: number }): ModeModel {
  return modelOf(ground, { model: faultKind, asOf });
}

/** Own unwanted alarms of a fleet taken apart by cause; as {@link fitFaultModes}. */
export function fitAlarmModes(ground: ModeGround, { asOf }: { asOf: number }): ModeModel {
  return modelOf(ground, { model: alarmKind, asOf });
}

function modelOf(ground: ModeGround, { model, asOf }: { model: KindModel; asOf: number }): ModeModel {
  const units = modeUnits(ground, { model, asOf });
  const fitted = fitModes(units, { model, clumping: clumpingOf(units) });
  const indexOf = new Map(units.map(({ ground: { history } }, index) => [history.detector.detectorId, index]));
  const known = <Value>(detectorId: string, use: (unit: ModeUnit, index: number) => Value): Value | null => {
    const index = indexOf.get(detectorId);
    const unit = index === undefined ? undefined : units[index];
    return unit === undefined || index === undefined ? null : use(unit, index);
  };
  const causesOf = (detectorId: string) =>
    known(detectorId, (unit, index) => sharesOf(unit, { model, share: fitted.units[index]?.shares })) ?? [];
  return {
    expected: (detectorId, span) =>
      known(detectorId, (unit, index) => expectedOf(unit, { fitted, index, model, asOf, span })) ?? [],
    causesOf,
    evidenceOf: (detectorId) =>
      known(detectorId, (unit) => evidenceFor(unit, { kind: model.kind, shares: causesOf(detectorId), asOf })),
  };
}

// Events a strike brings: how many episodes make a cluster, over the fleet.
function clumpingOf(units: readonly ModeUnit[]): number {
  let episodes = 0;
  let clusters = 0;
  for (const { events } of units) {
    const found = clustersOf(
      events.map(({ beganAt }) => ({ beganAt, endedAt: null, records: 1, cause: null, verdict: null })),
      { joinDays: CLUSTER_DAYS },
    );
    episodes += events.length;
    clusters += found.length;
  }
  return clusters === 0 ? 1 : episodes / clusters;
}

function sharesOf(
  { events }: ModeUnit,
  { model, share }: { model: KindModel; share: Float64Array | undefined },
): CauseShare[][] {
  const columns = model.causes.length + 1;
  return events.map((_, row) => ranked(model, (column) => share?.[row * columns + column] ?? 0));
}

type Ahead = {
  readonly fitted: FittedModes;
  readonly index: number;
  readonly model: KindModel;
  readonly asOf: number;
  readonly span: Span;
};

function expectedOf(unit: ModeUnit, { fitted, index, model, asOf, span }: Ahead): CauseShare[] {
  const { history, kinds } = unit.ground;
  const rates = fitted.units[index]?.rates;
  const days = (span.endAt - span.startAt) / DAY_MS;
  const sums = new Float64Array(model.causes.length + 1);
  for (let column = 0; column < sums.length; column += 1) {
    const rate = rates?.[column] ?? 0;
    if (!(days > 0) || rate * days < LEAST_EXPECTED) continue;
    const intensity =
      column < model.causes.length
        ? kinds[model.kind].intensities[column]?.ahead(asOf)
        : ownWindow(unit.events, history.site.timeZone).ofDay;
    if (intensity) sums[column] = rate * integral(intensity, span);
  }
  return ranked(model, (column) => sums[column] ?? 0).filter(({ value }) => value > 0);
}

// In steps of a week at most, by their middles; days times intensity.
function integral(intensity: (moment: number) => number, { startAt, endAt }: Span): number {
  const steps = Math.max(1, Math.ceil((endAt - startAt) / WEEK_MS));
  const step = (endAt - startAt) / steps;
  let sum = 0;
  for (let index = 0; index < steps; index += 1) sum += intensity(startAt + (index + 0.5) * step);
  return (sum * step) / DAY_MS;
}

// The own window is a season nobody has named yet: part of the unknown cause. Largest first.
function ranked({ causes }: KindModel, amountOf: (column: number) => number): CauseShare[] {
  const sums = new Map<Cause, number>();
  for (const [column, cause] of causes.entries()) sums.set(cause, (sums.get(cause) ?? 0) + amountOf(column));
  sums.set("unknown", (sums.get("unknown") ?? 0) + amountOf(causes.length));
  return [...sums].map(([cause, value]) => ({ cause, value })).sort((a, b) => b.value - a.value);
}
