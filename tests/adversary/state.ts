import type { Chance } from "@/lib/kernel/chance";
import type { PreventiveTask } from "@/lib/rank/effects";
import { type Climate, GLARE_STEP_MIN, glareOn } from "@/tests/adversary/climate";
import { M, mechanisms, visitTasks } from "@/tests/adversary/mechanism";
import type { Traits } from "@/tests/adversary/traits";

/** The hidden state of one detector; losses in dB, shares that works have left of each cause. */
export type State = {
  soil: number;
  misaligned: number;
  knocked: number;
  aged: number;
  feltC: number;
  inSpell: boolean;
  /** What is left of each mechanism's cause after work, 1 untouched. */
  readonly left: Float64Array;
  /** Expected episodes a day by mechanism, of the day last advanced to. */
  readonly fault: Float64Array;
  readonly alarm: Float64Array;
  faultTotal: number;
  alarmTotal: number;
  /** Share of margin or compensation range in use. */
  slowUse: number;
  fastUse: number;
  thermal: number;
};

/** One day around a detector. */
export type Today = {
  readonly day: number;
  readonly yearDay: number;
  readonly temperatureC: number;
  readonly clear: boolean;
  readonly damp: number;
  /** Factors of the whole fleet on plain rates: growth, and season of faults. */
  readonly fleet: number;
};

/** A detector as commissioned. */
export function newState(traits: Traits): State {
  const size = mechanisms.length;
  return {
    soil: 0,
    misaligned: 0,
    knocked: 0,
    aged: traits.ageingDb * Math.max(0, -traits.wearBorn) * 0.3,
    feltC: traits.thermalFreeC,
    inSpell: false,
    left: new Float64Array(size).fill(1),
    fault: new Float64Array(size),
    alarm: new Float64Array(size),
    faultTotal: 0,
    alarmTotal: 0,
    slowUse: 0,
    fastUse: 0,
    thermal: 0,
  };
}

/** A copy that lives on by itself. */
export function copyOf(state: State): State {
  return { ...state, left: state.left.slice(), fault: state.fault.slice(), alarm: state.alarm.slice() };
}

const SPELL_BEGINS = 1 / 220;
const SPELL_ENDS = 1 / 25;
const SPELL_SHARE = SPELL_BEGINS / (SPELL_BEGINS + SPELL_ENDS);
const REGROWTH = 1 / 400;

/** Carries a state on by one day and sets its hazards of that day. */
export function advance(state: State, traits: Traits, { today, climate, chance }: Setting): void {
  const { left } = state;
  if (traits.spellFactor > 1) {
    if (chance() < (state.inSpell ? SPELL_ENDS : SPELL_BEGINS)) state.inSpell = !state.inSpell;
  }
  const dusty =
    traits.dustyAmplitude === 0
      ? 1
      : 1 + traits.dustyAmplitude * Math.cos((2 * Math.PI * (today.yearDay - traits.dustyPeak)) / 365.25);
  state.soil += traits.soilDb * dusty * 2 * chance();
  state.aged += traits.ageingDb * (left[M.ageing] ?? 1);
  if (traits.mountDb > 0 && chance() < 0.05) {
    state.misaligned -= traits.mountDb * 20 * (left[M.mount] ?? 1) * Math.log(1 - chance());
  }
  if (Math.floor(traits.knockDay) === today.day) state.knocked += traits.knockDb;
  // Insects and the building's play come back after work; goods, sun shields and repairs stay.
  if (traits.insectRate > 0) left[M.insects] = regrown(left[M.insects] ?? 1);
  left[M.thermal] = regrown(left[M.thermal] ?? 1);
  state.feltC += (today.temperatureC - state.feltC) / Math.max(1, traits.thermalLagDays);
  state.thermal = thermalLoss(state, traits, state.feltC);
  setHazards(state, traits, { today, climate, chance });
}

function regrown(left: number): number {
  return left + (1 - left) * REGROWTH;
}

/** What a day's hazards depend on besides the detector. */
export type Setting = { readonly today: Today; readonly climate: Climate; readonly chance: Chance };

/** Loss by movement of the building at a felt temperature, dB. */
export function thermalLoss(state: State, traits: Traits, feltC: number): number {
  const away = (traits.thermalSign * (feltC - traits.thermalFreeC)) / 12;
  return away > 0 ? traits.thermalDb * (state.left[M.thermal] ?? 1) * away * away : 0;
}

function setHazards(state: State, traits: Traits, { today, climate }: Setting): void {
  const { fault, alarm, left } = state;
  fault.fill(0);
  alarm.fill(0);
  const spell = traits.spellFactor === 1 ? 1 : spellOf(state, traits);
  fault[M.background] = traits.faultRate * spell * today.fleet * (left[M.background] ?? 1);
  alarm[M.background] = traits.alarmRate * spell * today.fleet * (left[M.background] ?? 1);
  marginHazards(state, traits);
  if (traits.glare && today.clear) {
    const minutes = glareOn(traits.glare, today.yearDay).length * GLARE_STEP_MIN;
    alarm[M.low_sun] = traits.sunRate * minutes * (left[M.low_sun] ?? 1);
  }
  if (traits.dampRate > 0) {
    // Steam of a wash-down comes in every season, dew with damp cold mornings.
    const weight = traits.washHour === null ? 6 * Math.max(0, today.damp - 0.5) : 1;
    alarm[M.condensation] = traits.dampRate * weight * (left[M.condensation] ?? 1);
  }
  if (traits.insectRate > 0) {
    const warm = Math.max(0, today.temperatureC - climate.dayC / 2 - 12) / 6;
    alarm[M.insects] = traits.insectRate * Math.min(3, warm) * (left[M.insects] ?? 1);
    fault[M.insects] = 0.5 * (alarm[M.insects] ?? 0);
  }
  if (traits.stockRate > 0) {
    const stock = traits.stockRate * stockWeight(traits, today.yearDay) * (left[M.obstruction] ?? 1);
    fault[M.obstruction] = stock;
    alarm[M.obstruction] = 0.2 * stock;
  }
  if (today.day >= traits.worksFrom && today.day < traits.worksFrom + 14) alarm[M.works_dust] = traits.worksRate;
  if (today.day >= traits.defectDay) {
    const grown = traits.defectRate * Math.exp(Math.min(2.2, (today.day - traits.defectDay) / traits.defectTau));
    fault[M.equipment] = grown * (left[M.equipment] ?? 1);
    alarm[M.equipment] = 0.25 * (fault[M.equipment] ?? 0);
  }
  if (traits.wearRate > 0) {
    const age = Math.max(1, today.day - traits.wearBorn) / (1095 - traits.wearBorn);
    fault[M.wear_out] = traits.wearRate * age ** (traits.wearBeta - 1) * (left[M.wear_out] ?? 1);
  }
  state.faultTotal = sumOf(fault);
  state.alarmTotal = sumOf(alarm);
}

function spellOf(state: State, traits: Traits): number {
  const mean = 1 + SPELL_SHARE * (traits.spellFactor - 1);
  return (state.inSpell ? traits.spellFactor : 1) / mean;
}

function stockWeight(traits: Traits, yearDay: number): number {
  if (traits.stockPeak === null) return 1;
  const turn = Math.abs(((yearDay - traits.stockPeak + 548) % 365.25) - 182.6);
  return turn < traits.stockDays / 2 ? (0.8 * 365.25) / traits.stockDays : 0.2;
}

const FAULT_AT_LIMIT = 0.12;
const ALARM_AT_LIMIT = 0.012;
const SLOW = [M.soiling, M.ageing];
const FAST = [M.thermal, M.mount, M.knocked];
const ALL = [...SLOW, ...FAST];

/** Faults and alarms of a thin margin; slow losses use the compensation range where there is compensation. */
function marginHazards(state: State, traits: Traits): void {
  const slow = state.soil + state.aged;
  const fast = state.misaligned + state.knocked + state.thermal;
  state.slowUse = traits.compensated ? slow / traits.rangeDb : (slow + fast) / traits.limitDb;
  state.fastUse = traits.compensated ? fast / traits.limitDb : state.slowUse;
  if (traits.compensated) {
    if (state.slowUse > 0.5) share(state, state.slowUse, { of: SLOW, total: slow });
    if (state.fastUse > 0.5) share(state, state.fastUse, { of: FAST, total: fast });
  } else if (state.slowUse > 0.5) {
    share(state, state.slowUse, {
      of: ALL,
      total: slow + fast,
    });
  }
}

function share(state: State, use: number, { of, total }: { of: readonly number[]; total: number }): void {
  const near = Math.min(1, Math.exp((use - 1) / 0.1));
  for (let index = 0; index < of.length; index += 1) {
    const place = of[index] ?? 0;
    const part = lossOf(state, place) / total;
    state.fault[place] = (state.fault[place] ?? 0) + FAULT_AT_LIMIT * near * part;
    state.alarm[place] = (state.alarm[place] ?? 0) + ALARM_AT_LIMIT * near * part;
  }
}

function lossOf(state: State, place: number): number {
  if (place === M.soiling) return state.soil;
  if (place === M.ageing) return state.aged;
  if (place === M.thermal) return state.thermal;
  return place === M.mount ? state.misaligned : state.knocked;
}

function sumOf(values: Float64Array): number {
  let sum = 0;
  for (let index = 0; index < values.length; index += 1) sum += values[index] ?? 0;
  return sum;
}

/** Does a task: takes from each cause what it can, times how well it was done (1 well, 0 not at all). */
export function applyTask(state: State, traits: Traits, task: PreventiveTask, done = 1): void {
  const column = visitTasks.indexOf(task);
  const keep = (place: number) => 1 - done * (traits.effects[place * visitTasks.length + column] ?? 0);
  for (let place = 0; place < mechanisms.length; place += 1) {
    // A realignment never makes a mount firmer.
    if (task === "realign" && place === M.mount) continue;
    state.left[place] = (state.left[place] ?? 1) * keep(place);
  }
  state.soil *= keep(M.soiling);
  state.aged *= keep(M.ageing);
  state.knocked *= keep(M.knocked);
  // Realigning sets the beam right at once, but only a firm mount keeps it there.
  const righted = task === "realign" ? 1 - 0.8 * done : keep(M.mount);
  state.misaligned *= righted;
}
