import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import { type CauseRates, expectedByCause, sharesByCause } from "@/lib/analyse/modes/cause-outlook";
import { type FittedModes, fitModes } from "@/lib/analyse/modes/fit-modes";
import { alarmKind, faultKind, type KindModel } from "@/lib/analyse/modes/kind-model";
import { evidenceFor } from "@/lib/analyse/modes/mode-evidence";
import type { ModeGround } from "@/lib/analyse/modes/mode-ground";
import type { ModeModel } from "@/lib/analyse/modes/mode-model";
import { type ModeMoment, type ModeUnit, modeUnits } from "@/lib/analyse/modes/mode-units";

/** Faults of a fleet taken apart by cause, as known at `asOf`, which may lie before the ground's own moment. */
export function fitFaultModes(ground: ModeGround, moment: ModeMoment): ModeModel {
  return modelOf(fittedKind(ground, { ...moment, model: faultKind }), moment);
}

/** Own unwanted alarms of a fleet taken apart by cause; as {@link fitFaultModes}. */
export function fitAlarmModes(ground: ModeGround, moment: ModeMoment): ModeModel {
  return modelOf(fittedKind(ground, { ...moment, model: alarmKind }), moment);
}

/** Both kinds at once: what lies in a detector or its signal and shows in its faults is likelier behind its alarms too. */
export function fitFleetModes(ground: ModeGround, moment: ModeMoment): Readonly<Record<EventKind, ModeModel>> {
  const fault = fittedKind(ground, { ...moment, model: faultKind });
  const alarm = fittedKind(ground, { ...moment, model: alarmKind, favouredOf: favouredBy(fault) });
  return { fault: modelOf(fault, moment), alarm: modelOf(alarm, moment) };
}

/** Causes that give faults and alarms alike. */
const bodily: readonly Cause[] = ["soiling", "ageing", "thermal movement", "mount that will not hold", "equipment"];

/** How far the odds of a cause in faults carry over to alarms: in part, as both kinds use the same signal facts. */
const CARRIED_OVER = 0.7;
const MOST_CARRIED = 30;
const LEAST_ODDS = 1e-4;

type FittedKind = {
  readonly model: KindModel;
  readonly units: readonly ModeUnit[];
  readonly fitted: FittedModes;
  readonly indexOf: ReadonlyMap<string, number>;
};

function fittedKind(ground: ModeGround, { model, ...moment }: ModeMoment & { model: KindModel }): FittedKind {
  const units = modeUnits(ground, { ...moment, model });
  const indexOf = new Map(units.map(({ ground: { history } }, index) => [history.detector.detectorId, index]));
  return { model, units, fitted: fitModes(units, { model }), indexOf };
}

function favouredBy({ model, fitted, indexOf }: FittedKind): NonNullable<ModeMoment["favouredOf"]> {
  const means = model.causes.map((_, column) => {
    const sum = fitted.units.reduce((total, { presence }) => total + (presence[column] ?? 0), 0);
    return sum / Math.max(1, fitted.units.length);
  });
  return (detectorId, cause) => {
    const own = fitted.units[indexOf.get(detectorId) ?? -1];
    const column = model.causes.indexOf(cause);
    if (!own || !bodily.includes(cause) || column < 1) return 1;
    const ratio = oddsOf(own.presence[column] ?? 0) / oddsOf(means[column] ?? 0);
    return Math.max(1 / MOST_CARRIED, Math.min(MOST_CARRIED, ratio ** CARRIED_OVER));
  };
}

function oddsOf(probability: number): number {
  return Math.max(LEAST_ODDS, probability / Math.max(LEAST_ODDS, 1 - probability));
}

function modelOf({ model, units, fitted, indexOf }: FittedKind, { asOf }: ModeMoment): ModeModel {
  const episodesEach = episodesEachOf(units);
  const known = <Value>(detectorId: string, use: (unit: ModeUnit, rates: CauseRates) => Value): Value | null => {
    const index = indexOf.get(detectorId) ?? -1;
    const unit = units[index];
    const weighed = fitted.units[index];
    return unit && weighed ? use(unit, { model, weighed, episodesEach }) : null;
  };
  const causesOf = (detectorId: string) => known(detectorId, sharesByCause) ?? [];
  return {
    expected: (detectorId, span) =>
      known(detectorId, (unit, rates) => expectedByCause(unit, { ...rates, asOf, span })) ?? [],
    causesOf,
    evidenceOf: (detectorId) =>
      known(detectorId, (unit) => evidenceFor(unit, { kind: model.kind, shares: causesOf(detectorId), asOf })),
  };
}

// Events as they come for each as they count, over the fleet: how many a strike brings.
function episodesEachOf(units: readonly ModeUnit[]): number {
  let episodes = 0;
  let counted = 0;
  for (const { novelty } of units) {
    for (const one of novelty) {
      episodes += 1;
      counted += one;
    }
  }
  return counted > 0 ? episodes / counted : 1;
}
