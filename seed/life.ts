import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import type { FaultCause, Task } from "@/lib/records/vocabulary";
import { type Beam, beamAttenuationDb, cleanBeam, compensationPctOf, realignBeam, signalOf } from "@/seed/beam";
import { drawEvents, type Surroundings } from "@/seed/cause-days";
import { between, lognormal, pick, weibull, wholeBetween } from "@/seed/draws";
import { atLocalHour, faultOf, withFollowers, workingHour } from "@/seed/event-draws";
import { STEPS_PER_DAY } from "@/seed/period";
import type { DemoEvent, DemoWork } from "@/seed/records";
import { isServiceDay, serviceDayOf, serviceOf } from "@/seed/service";

/** Three years of one detector: attenuation in dB and used compensation in % at each step, its events and its work. */
export type Life = {
  readonly attenuationDb: Float32Array;
  readonly compensationPct: Float32Array;
  readonly events: DemoEvent[];
  readonly work: DemoWork[];
};

/** What {@link liveDetector} needs beside the surroundings: the air under the roof and the place among its neighbours. */
export type LifeInput = Surroundings & { readonly roofC: Float32Array; readonly slot: number };

type Callout = { day: number; task: Task };
type State = {
  readonly beam: Beam;
  readonly life: Life;
  holdDays: number;
  callout: Callout | null;
  serviceDay: number;
};

/** Lives one detector day by day: dirt, movement and mount make the signal, the signal makes faults, faults make call-outs. */
export function liveDetector(input: LifeInput): Life {
  const { detector, period, chance, roofC } = input;
  const state = firstState(input);
  const { beam, life } = state;
  // Slow ups and downs of some days that mean nothing: haze, humidity, the supply.
  let wanderDb = 0;
  for (let day = detector.firstDay; day < period.days; day += 1) {
    beam.soilDb += detector.traits.soilDbPerDay * (0.4 + 1.2 * chance());
    beam.daysSinceRealign += 1;
    if (beam.daysSinceRealign > state.holdDays && beam.shiftDb === 0) beam.shiftDb = between(chance, 1.5, 3.6);
    doWork(input, state, day);
    const compensation = compensationPctOf(beam);
    wanderDb = 0.9 * wanderDb + 0.03 * (chance() + chance() - 1);
    let worstDb = 0;
    for (let step = day * STEPS_PER_DAY; step < (day + 1) * STEPS_PER_DAY; step += 1) {
      const db = wanderDb + beamAttenuationDb(beam, detector.traits, roofC[step] ?? 0);
      worstDb = Math.max(worstDb, db);
      life.attenuationDb[step] = db + detector.traits.noiseDb * (chance() + chance() + chance() - 1.5) * 2;
      life.compensationPct[step] = compensation;
    }
    driftFault(input, state, { day, worstDb, compensation });
  }
  for (const event of drawEvents(input)) life.events.push(...withFollowers(chance, event));
  answerOrdinaryFaults(input, life);
  return life;
}

function firstState({ detector, period, chance, roofC }: LifeInput): State {
  const served = chance() * 300;
  const temperature = roofC[wholeBetween(chance, 0, Math.max(0, Math.min(1460, period.steps) - 1))] ?? 15;
  const old = detector.firstDay === 0;
  return {
    beam: {
      soilDb: old ? detector.traits.soilDbPerDay * served : 0,
      shiftDb: 0,
      referenceDb: 0,
      setTemperatureC: temperature,
      daysSinceRealign: old ? wholeBetween(chance, 10, 500) : 0,
    },
    life: {
      attenuationDb: new Float32Array(period.steps),
      compensationPct: new Float32Array(period.steps),
      events: [],
      work: [],
    },
    holdDays: (old ? 300 : 0) + weibull(chance, detector.traits.hold),
    callout: null,
    serviceDay: -1,
  };
}

/** Faults the signal brings: likelier the deeper it falls on a day, and at the end of the compensation range. */
function driftFault(
  input: LifeInput,
  state: State,
  { day, worstDb, compensation }: { day: number; worstDb: number; compensation: number },
): void {
  const { chance, detector, period, site } = input;
  const dayAt = period.startAt + day * DAY_MS;
  let cause: FaultCause | null = null;
  if (compensation >= 100 && chance() < 0.12) cause = "compensation_limit";
  else if (worstDb > 1.6 && chance() < Math.min(0.35, 0.04 * Math.exp(1.2 * (worstDb - 1.6)))) cause = "low_signal";
  if (cause === null) return;
  const beganAt = atLocalHour(dayAt, 24 * chance(), site.country.timeZone);
  const because = state.beam.shiftDb > 0 ? "mount" : "drift";
  const fault = faultOf(chance, { detectorId: detector.detectorId, beganAt, cause, medianMin: 70, because });
  state.life.events.push(...withFollowers(chance, fault));
  // A mount that moved is off for good and soon seen to; what heat or dirt brings may clear before anyone comes.
  if (state.callout === null && chance() < (because === "mount" ? 0.75 : 0.45)) {
    const dirty = state.beam.soilDb > 1.1 && because === "drift";
    const task = dirty && (!detector.traits.dirtMisread || compensation >= 100) ? "clean" : "realign";
    state.callout = { day: day + wholeBetween(chance, 1, 8), task };
  }
}

function doWork(input: LifeInput, state: State, day: number): void {
  const { site, period, slot, chance } = input;
  if (isServiceDay(site, { period, day }))
    state.serviceDay = chance() < 0.025 ? -1 : serviceDayOf(slot, { period, day });
  if (state.serviceDay === day) planned(input, state, day);
  if (state.callout?.day === day) callOut(input, state, day);
}

function planned(input: LifeInput, { beam, life, ...rest }: State, day: number): void {
  const { site, detector, period, slot, chance, roofC } = input;
  const temperature = roofC[day * STEPS_PER_DAY + 1] ?? 15;
  const signal = () => Math.round(100 * signalOf(beamAttenuationDb(beam, detector.traits, temperature))) / 100;
  const before = signal();
  cleanBeam(beam);
  const afterClean = signal();
  const realigned = afterClean < 82 || afterClean > 140;
  const signals = { before, afterClean, realigned };
  if (realigned) realignBeam(beam, temperature);
  const served = serviceOf(chance, { site, detector, dayAt: period.startAt + day * DAY_MS, slot, signals });
  life.events.push(...served.events);
  life.work.push(...served.work);
  if (realigned) rest.holdDays = weibull(chance, detector.traits.hold);
}

function callOut(input: LifeInput, state: State, day: number): void {
  const { site, detector, period, chance, roofC } = input;
  const { beam, life } = state;
  const task = state.callout?.task ?? "realign";
  state.callout = null;
  const temperature = roofC[day * STEPS_PER_DAY + 1] ?? 15;
  const signal = () => Math.round(100 * signalOf(beamAttenuationDb(beam, detector.traits, temperature))) / 100;
  const before = signal();
  if (task === "clean") cleanBeam(beam);
  else {
    realignBeam(beam, temperature);
    state.holdDays = weibull(chance, detector.traits.hold);
  }
  const doneAt = atLocalHour(period.startAt + day * DAY_MS, workingHour(chance) + 1, site.country.timeZone);
  const minutes = wholeBetween(chance, 35, 95);
  const { detectorId } = detector;
  const long = chance() < 0.05;
  life.events.push({
    detectorId,
    beganAt: doneAt - (minutes + 5) * 60_000,
    endedAt: doneAt + (long ? wholeBetween(chance, 5, 30) * HOUR_MS : 5 * 60_000),
    condition: "disablement",
    cause: null,
    verdict: null,
    because: "disabled",
  });
  life.work.push({
    detectorId,
    doneAt,
    task,
    result: null,
    signalBeforePct: before,
    signalAfterPct: signal(),
    durationMin: minutes,
    reactive: true,
    told: long ? "receiving centre, insurer" : "receiving centre",
    interim: long ? "hourly patrol of the hall" : null,
    note: pick(chance, [null, null, "found on arrival in fault", "cleared before arrival"]),
  });
}

/** Some faults and alarms without drift are answered too, by a look, a survey or a repair that changes nothing. */
function answerOrdinaryFaults({ chance, detector, site, period }: LifeInput, life: Life): void {
  const { detectorId } = detector;
  for (const { because, condition, beganAt } of [...life.events]) {
    if (because === "drift" || because === "mount" || because === "service" || because === "disabled") continue;
    if (because === "chatter" || because === "echo" || chance() > (condition === "fire" ? 0.35 : 0.22)) continue;
    const dayAt = Math.floor(beganAt / DAY_MS) * DAY_MS + wholeBetween(chance, 1, 4) * DAY_MS;
    const doneAt = atLocalHour(dayAt, workingHour(chance) + 1, site.country.timeZone);
    if (doneAt >= period.endAt) continue;
    const task: Task = pick(chance, condition === "fire" ? ["survey"] : ["survey", "repair"]);
    const durationMin = Math.round(lognormal(chance, { median: 55, spread: 0.4 }));
    const signals = { signalBeforePct: null, signalAfterPct: null };
    const note = pick(chance, [null, "nothing found", "no fault found, left in service"]);
    const told = { told: "receiving centre", interim: null };
    life.work.push({ detectorId, doneAt, task, result: null, ...signals, durationMin, reactive: true, ...told, note });
  }
}
