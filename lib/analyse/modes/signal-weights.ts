import type { SignalCause } from "@/lib/analyse/drift/signal-causes";
import type { Cause } from "@/lib/analyse/modes/cause";
import type { SignalFacts } from "@/lib/analyse/modes/signal-track";

/** What signal and call-outs of one detector show before a moment; facts null without readings. */
export type Shown = {
  readonly facts: SignalFacts | null;
  readonly callOutsPerYear: number | null;
  /** What the drift of the readings holds against each cause, shares of 0 to 1; null where it is not known. */
  readonly drift: readonly SignalCause[] | null;
};

/** What signal and call-outs hold for and against the causes in one detector. */
export type CauseWeights = {
  /** How much likelier a cause is here than in the fleet at large: 1 for no difference. */
  readonly favour: (cause: Cause) => number;
  /** Probability that a slow loss of signal is one that cleaning does not lift. */
  readonly agedShare: number;
};

/**
 * Amounts from which on a fact of its kind tells something, in dB, dB a year or call-outs a year; smaller ones are lost
 * in noise. Source: common practice, with attenuation of an ordinary alarm threshold of 1.9 dB in mind.
 */
const MEANINGFUL = { soil: 0.1, swing: 0.2, step: 0.2, ageing: 0.1, hold: 1 };
const LEAST = 0.1;
const MOST = 30;
/** Share of the loss from which on the drift of the readings tells something. */
const TELLING_SHARE = 0.05;
const UNCLEANED_SHARE = 0.7;
const UNALIGNED_SHARE = 0.5;
const MOST_AGEING = 1;
const TELLING_GAIN_DB = 0.4;
// A slow loss is mostly dirt until the signal says otherwise.
const STATED_SLOW = { aged: 0.01, all: 0.1 };

type Amounts = Readonly<Record<keyof typeof MEANINGFUL, number | null>>;

/**
 * Weights of causes of each detector of a fleet: its amount beside the fleet's mean amount, both raised by the amount
 * from which on the fact means anything, times the same of the shares of its drift; between 0.1 and 30, and 1 where
 * neither is known.
 */
export function causeWeights(fleet: readonly Shown[]): CauseWeights[] {
  const amounts = fleet.map(amountsOf);
  const means = {
    soil: meanOf(amounts, "soil"),
    swing: meanOf(amounts, "swing"),
    step: meanOf(amounts, "step"),
    ageing: meanOf(amounts, "ageing"),
    hold: meanOf(amounts, "hold"),
  };
  const byDrift = driftWeights(fleet);
  return amounts.map((own, index) => {
    const weight = (name: keyof typeof MEANINGFUL) => {
      const amount = own[name];
      if (amount === null) return 1;
      return bounded((MEANINGFUL[name] + amount) / (MEANINGFUL[name] + means[name]));
    };
    const byCause: Partial<Record<Cause, number>> = {
      soiling: weight("soil"),
      "compensation at its limit": weight("soil"),
      "thermal movement": weight("swing"),
      "knocked out of line": weight("step"),
      ageing: weight("ageing"),
      "mount that will not hold": weight("hold"),
    };
    return {
      favour: (cause) => {
        const byFacts = byCause[cause];
        return byFacts === undefined ? 1 : bounded(byFacts * byDrift(index, cause));
      },
      agedShare: agedShare(own, fleet[index]?.drift ?? null),
    };
  });
}

function bounded(weight: number): number {
  return Math.max(LEAST, Math.min(MOST, weight));
}

// A detector's share of its loss by cause beside the fleet's mean share; 1 where its drift is not known.
function driftWeights(fleet: readonly Shown[]): (index: number, cause: Cause) => number {
  const known = fleet.flatMap(({ drift }) => (drift === null ? [] : [drift]));
  const means = new Map<Cause, number>();
  for (const { cause, weight } of known.flat()) means.set(cause, (means.get(cause) ?? 0) + weight / known.length);
  return (index, cause) => {
    const drift = fleet[index]?.drift ?? null;
    if (drift === null) return 1;
    return (TELLING_SHARE + shareIn(drift, cause)) / (TELLING_SHARE + (means.get(cause) ?? 0));
  };
}

function shareIn(drift: readonly SignalCause[], cause: Cause): number {
  return drift.find((one) => one.cause === cause)?.weight ?? 0;
}

function agedShare(own: Amounts, drift: readonly SignalCause[] | null): number {
  const aged = drift === null ? (own.ageing ?? 0) : shareIn(drift, "ageing");
  const soiled = drift === null ? (own.soil ?? STATED_SLOW.all) : shareIn(drift, "soiling");
  return (aged + STATED_SLOW.aged) / (aged + soiled + STATED_SLOW.all);
}

function amountsOf({ facts, callOutsPerYear: callOuts }: Shown): Amounts {
  // Ageing is a slow fall: without readings nothing speaks for it.
  if (facts === null) return { soil: null, swing: null, step: null, ageing: 0, hold: callOuts };
  const { riseDbPerYear: rise, cleanGainDb, realignGainDb, stepDbPerYear, swingDb } = facts;
  const byClean = Math.max(0, cleanGainDb ?? 0);
  // A realignment sets the signal anew and so hides dirt as well: only cleans tell how much of the fall was dirt.
  const soilShare = cleanGainDb === null ? UNCLEANED_SHARE : Math.min(1, byClean / Math.max(0.3, rise / 2));
  const rest = rise * (1 - soilShare);
  const byRealign = Math.max(0, realignGainDb ?? 0);
  const alignShare = realignGainDb === null ? UNALIGNED_SHARE : Math.min(1, byRealign / Math.max(0.3, rise / 2));
  const often = callOuts ?? 0;
  // Realigning is what is tried for anything: only a realignment that gave signal back speaks for lost alignment.
  const givenBack = realignGainDb === null ? UNALIGNED_SHARE : Math.min(1, byRealign / TELLING_GAIN_DB);
  return {
    soil: rise * soilShare + byClean,
    swing: swingDb + byRealign / 4,
    // Losses that come back after every realignment are the mount's; those that do not are a knock's.
    step: stepDbPerYear / (1 + 2 * often),
    // What neither cleans nor realignments give back; a fast fall is no ageing.
    ageing: Math.min(MOST_AGEING, rest * (1 - alignShare)),
    // A building that moves with heat asks for realignment as well.
    hold: ((often * givenBack + rest * alignShare) * MEANINGFUL.swing) / (MEANINGFUL.swing + swingDb),
  };
}

function meanOf(amounts: readonly Amounts[], name: keyof Amounts): number {
  let sum = 0;
  let count = 0;
  for (const one of amounts) {
    const amount = one[name];
    if (amount === null) continue;
    sum += amount;
    count += 1;
  }
  return count === 0 ? 0 : sum / count;
}
