import { M } from "@/tests/adversary/mechanism";
import type { HiddenSite, Span } from "@/tests/adversary/site";
import type { State } from "@/tests/adversary/state";
import type { Traits } from "@/tests/adversary/traits";
import type { Planted, PlantedKind } from "@/tests/adversary/truth";

/** Sums a detector's hidden hazards day by day up to the as-of moment, to say what is truly so of it. */
export type Recorder = {
  readonly note: (day: number, state: State) => void;
  readonly plantedAt: (state: State, realignedOnCall: number) => Readonly<Record<PlantedKind, Planted>>;
};

const SEASONAL = [M.low_sun, M.condensation, M.insects, M.obstruction, M.thermal] as const;
const STEADY = [M.mount, M.knocked, M.ageing, M.equipment, M.wear_out] as const;

/** A recorder of one detector. */
export function recorderOf(
  traits: Traits,
  { hidden, span, hasReadings }: { hidden: HiddenSite; span: Span; hasReadings: boolean },
): Recorder {
  const steady = new Float64Array(span.days);
  const whole = new Float64Array(span.days);
  let seasonal = 0;
  let alarms = 0;
  const note = (day: number, { fault, alarm, left, alarmTotal }: State) => {
    // Plain faults without what the whole fleet shares and without the spells, which come and go.
    const plain = traits.faultRate * (left[M.background] ?? 1);
    const soil = fault[M.soiling] ?? 0;
    const lasting = STEADY.reduce((sum, place) => sum + (fault[place] ?? 0), plain);
    steady[day] = lasting + (traits.dustyAmplitude > 0.1 ? 0 : soil);
    whole[day] = lasting + soil + (fault[M.thermal] ?? 0) + (fault[M.obstruction] ?? 0) + (fault[M.insects] ?? 0);
    seasonal += SEASONAL.reduce((sum, place) => sum + (alarm[place] ?? 0), 0);
    if (traits.dustyAmplitude > 0.1) seasonal += alarm[M.soiling] ?? 0;
    alarms += alarmTotal;
  };
  const from = Math.max(0, traits.bornDay);
  const plantedAt = (state: State, realignedOnCall: number) => ({
    rising_faults: risingOf({ steady, whole, from, until: span.days }),
    seasonal_alarms: seasonOf(seasonal, alarms),
    repeat_realignment: mountOf(traits, realignedOnCall),
    signal_drift: driftOf(state, traits, { hidden, hasReadings }),
  });
  return { note, plantedAt };
}

function risingOf(rates: { steady: Float64Array; whole: Float64Array; from: number; until: number }): Planted {
  const { from, until } = rates;
  let best: Planted = "none";
  for (const { rate, lastDays } of [
    { rate: rates.steady, lastDays: 90 },
    { rate: rates.steady, lastDays: 180 },
    { rate: rates.steady, lastDays: 365 },
    { rate: rates.whole, lastDays: 365 },
  ]) {
    const cut = until - lastDays;
    if (cut - from < lastDays / 2) continue;
    const before = meanOf(rate, from, cut);
    const after = meanOf(rate, cut, until);
    const ratio = (after + 1e-5) / (before + 1e-5);
    if (ratio >= 1.15 && best === "none") best = "mild";
    if (ratio >= 2 && (after - before) * lastDays >= 1.5) best = "strong";
  }
  return best;
}

function meanOf(values: Float64Array, from: number, until: number): number {
  let sum = 0;
  for (let index = from; index < until; index += 1) sum += values[index] ?? 0;
  return sum / Math.max(1, until - from);
}

function seasonOf(seasonal: number, alarms: number): Planted {
  const share = alarms > 0 ? seasonal / alarms : 0;
  if (seasonal >= 3.5 && share >= 0.5) return "strong";
  return seasonal >= 0.4 || share >= 0.15 ? "mild" : "none";
}

function mountOf(traits: Traits, realignedOnCall: number): Planted {
  if (traits.mountDb > 0) return realignedOnCall >= 3 ? "strong" : "mild";
  return traits.thermalDb >= 0.35 * traits.limitDb ? "mild" : "none";
}

// Years until the limit if nobody comes; a movement of the building that takes the margin each year counts as mild.
function driftOf(
  state: State,
  traits: Traits,
  { hidden, hasReadings }: { hidden: HiddenSite; hasReadings: boolean },
): Planted {
  const slowRate = 365 * (traits.soilDb + traits.ageingDb * (state.left[M.ageing] ?? 1));
  const fastRate = 365 * traits.mountDb * (state.left[M.mount] ?? 1);
  const slow = state.soil + state.aged;
  const fast = state.misaligned + state.knocked;
  const years = traits.compensated
    ? Math.min((traits.rangeDb - slow) / slowRate, (traits.limitDb - fast) / Math.max(1e-9, fastRate))
    : (traits.limitDb - slow - fast) / (slowRate + fastRate);
  const seen = hasReadings && (!traits.compensated || hidden.habits.hasCompensation);
  if (years <= 1 && seen) return "strong";
  const swing = traits.thermalDb * ((hidden.climate.swingC + 3) / 12) ** 2;
  return years <= 6 || swing >= 0.5 * traits.limitDb ? "mild" : "none";
}
