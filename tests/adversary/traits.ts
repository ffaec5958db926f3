import type { Chance } from "@/lib/kernel/chance";
import { type Glare, glareOf, type sunTable } from "@/tests/adversary/climate";
import { between, logNormal } from "@/tests/adversary/dice";
import { drawEffects } from "@/tests/adversary/mechanism";

/** What a detector is, hidden from the records: rates by day, losses in dB, moments as days of the simulation. */
export type Traits = {
  readonly bornDay: number;
  readonly limitDb: number;
  readonly compensated: boolean;
  readonly rangeDb: number;
  readonly faultRate: number;
  readonly alarmRate: number;
  /** Times the rate in a bad spell; 1 for a detector without spells. */
  readonly spellFactor: number;
  readonly soilDb: number;
  readonly dustyAmplitude: number;
  readonly dustyPeak: number;
  readonly thermalDb: number;
  readonly thermalLagDays: number;
  readonly thermalSign: number;
  readonly thermalFreeC: number;
  readonly mountDb: number;
  readonly knockDay: number;
  readonly knockDb: number;
  readonly ageingDb: number;
  readonly glare: Glare | null;
  readonly sunRate: number;
  readonly dampRate: number;
  readonly washHour: number | null;
  readonly insectRate: number;
  readonly stockRate: number;
  /** Middle day of the year of the peak; null for goods that stand in the way all year. */
  readonly stockPeak: number | null;
  readonly stockDays: number;
  readonly worksFrom: number;
  readonly worksRate: number;
  readonly defectDay: number;
  readonly defectRate: number;
  readonly defectTau: number;
  readonly wearRate: number;
  readonly wearBeta: number;
  readonly wearBorn: number;
  readonly effects: Float64Array;
};

/** Surroundings a detector's traits depend on. */
export type Surroundings = {
  readonly days: number;
  readonly quiet: boolean;
  readonly alarmThresholdPct: number;
  readonly compensated: boolean;
  readonly sun: ReturnType<typeof sunTable>;
  readonly viewDeg: number;
  readonly meanC: number;
  readonly dirt: number;
  readonly bornDay: number;
  readonly works: { readonly from: number; readonly share: number } | null;
};

const NEVER = 1e9;
const YEAR = 365.25;

/** Draws one detector's traits: many mild, few strong, often more than one. */
export function drawTraits(chance: Chance, around: Surroundings): Traits {
  const limitDb = -10 * Math.log10(1 - around.alarmThresholdPct / 100);
  const has = (share: number) => chance() < share;
  const yearly = (median: number, spread: number) => logNormal(chance, { median, spread }) / YEAR;
  const bad = has(0.06) ? between(chance, 4, 9) : 1;
  const noisy = has(0.05) ? between(chance, 5, 10) : 1;
  const plain: Traits = {
    bornDay: around.bornDay,
    limitDb,
    compensated: around.compensated,
    rangeDb: between(chance, 2, 4),
    faultRate: bad * yearly(0.4, 0.9),
    alarmRate: noisy * yearly(0.05, 1),
    spellFactor: has(0.3) ? between(chance, 3, 6) : 1,
    soilDb: Math.min(0.1 * limitDb, logNormal(chance, { median: 0.06, spread: 0.5 })) / YEAR,
    dustyAmplitude: 0,
    dustyPeak: 0,
    thermalDb: Math.min(0.12 * limitDb, logNormal(chance, { median: 0.06, spread: 0.6 })),
    thermalLagDays: between(chance, 0.5, 5),
    thermalSign: has(0.7) ? 1 : -1,
    thermalFreeC: around.meanC,
    mountDb: 0,
    knockDay: NEVER,
    knockDb: 0,
    ageingDb: 0,
    glare: null,
    sunRate: 0,
    dampRate: 0,
    washHour: null,
    insectRate: 0,
    stockRate: 0,
    stockPeak: null,
    stockDays: 30,
    worksFrom: around.works?.from ?? NEVER,
    worksRate: around.works && has(around.works.share) ? between(chance, 0.05, 0.3) : 0,
    defectDay: NEVER,
    defectRate: 0,
    defectTau: 200,
    wearRate: 0,
    wearBeta: 1,
    wearBorn: 0,
    effects: drawEffects(chance),
  };
  return around.quiet ? plain : { ...plain, ...signalTraits(chance, around), ...eventTraits(chance, around) };
}

// What eats the signal: soiling, movement of the building, a loose mount, a knock, an ageing emitter.
function signalTraits(chance: Chance, around: Surroundings): Partial<Traits> {
  const has = (share: number) => chance() < share;
  const soil = logNormal(chance, { median: 0.3 * around.dirt, spread: 0.85 });
  return {
    soilDb: soil / YEAR,
    dustyAmplitude: has(0.3) ? between(chance, 0.3, 1) : 0,
    dustyPeak: YEAR * chance(),
    thermalDb: has(0.14)
      ? logNormal(chance, { median: 0.8, spread: 0.6 })
      : logNormal(chance, { median: 0.06, spread: 0.6 }),
    mountDb: has(0.06) ? logNormal(chance, { median: 0.03, spread: 0.6 }) : 0,
    knockDay: has(0.05) ? between(chance, 0, around.days) : NEVER,
    knockDb: logNormal(chance, { median: 1, spread: 0.5 }),
    ageingDb: has(0.06) ? logNormal(chance, { median: 0.35, spread: 0.6 }) / YEAR : 0,
  };
}

// What raises events without a lasting trace in the signal.
function eventTraits(chance: Chance, around: Surroundings): Partial<Traits> {
  const has = (share: number) => chance() < share;
  const yearly = (median: number, spread: number) => logNormal(chance, { median, spread }) / YEAR;
  const glare = glareOf(around.sun, {
    viewDeg: around.viewDeg,
    widthDeg: between(chance, 4, 11),
    highestDeg: between(chance, 8, 22),
  });
  const sunny = has(0.2) && glare.perYear > 200;
  return {
    glare: sunny ? glare : null,
    sunRate: sunny ? (yearly(0.6, 1.1) * YEAR) / glare.perYear / 0.5 : 0,
    dampRate: has(0.08) ? yearly(0.6, 1.1) : 0,
    washHour: has(0.4) ? Math.floor(between(chance, 4, 22)) : null,
    insectRate: has(0.07) ? yearly(0.6, 1.1) : 0,
    stockRate: has(0.09) ? yearly(2, 1.1) : 0,
    stockPeak: has(0.5) ? YEAR * chance() : null,
    stockDays: between(chance, 20, 60),
    defectDay: has(0.06) ? between(chance, 0.2 * around.days, around.days) : NEVER,
    defectRate: yearly(1.5, 0.9),
    defectTau: between(chance, 100, 400),
    wearRate: has(0.08) ? yearly(1.8, 0.9) : 0,
    wearBeta: between(chance, 1.5, 3.5),
    wearBorn: Math.min(around.bornDay, 0) - between(chance, 100, 3000),
  };
}
