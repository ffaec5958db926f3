import type { Cause } from "@/lib/analyse/modes/cause";
import type { SignalFacts } from "@/lib/analyse/modes/signal-track";

/** What signal and call-outs of one detector show before a moment; facts null without readings. */
export type Shown = { readonly facts: SignalFacts | null; readonly callOutsPerYear: number | null };

/** How much likelier each cause is in one detector than in the fleet at large: 1 for no difference. */
export type CauseWeights = (cause: Cause) => number;

/**
 * Amounts from which on a fact of its kind tells something, in dB, dB a year or call-outs a year; smaller ones are lost
 * in noise. Source: common practice, with attenuation of an ordinary alarm threshold of 1.9 dB in mind.
 */
const MEANINGFUL = { soil: 0.1, swing: 0.2, step: 0.2, ageing: 0.1, hold: 1 };
const LEAST = 0.1;
const MOST = 30;
const UNCLEANED_SHARE = 0.7;
const UNALIGNED_SHARE = 0.5;
const MOST_AGEING = 1;

type Amounts = Readonly<Record<keyof typeof MEANINGFUL, number | null>>;

/**
 * Weights of causes of each detector of a fleet: its amount beside the fleet's mean amount, both raised by the amount
 * from which on the fact means anything, between 0.1 and 30; 1 where the fact is not known.
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
  return amounts.map((own) => {
    const weight = (name: keyof typeof MEANINGFUL) => {
      const amount = own[name];
      if (amount === null) return 1;
      return Math.max(LEAST, Math.min(MOST, (MEANINGFUL[name] + amount) / (MEANINGFUL[name] + means[name])));
    };
    const byCause: Partial<Record<Cause, number>> = {
      soiling: weight("soil"),
      "compensation at its limit": weight("soil"),
      "thermal movement": weight("swing"),
      "knocked out of line": weight("step"),
      ageing: weight("ageing"),
      "mount that will not hold": weight("hold"),
    };
    return (cause) => byCause[cause] ?? 1;
  });
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
  return {
    soil: rise * soilShare + byClean,
    swing: swingDb + byRealign / 4,
    // Losses that come back after every realignment are the mount's; those that do not are a knock's.
    step: stepDbPerYear / (1 + 2 * often),
    // What neither cleans nor realignments give back; a fast fall is no ageing.
    ageing: Math.min(MOST_AGEING, rest * (1 - alignShare)),
    // A building that moves with heat asks for realignment as well.
    hold: ((often + rest * alignShare) * MEANINGFUL.swing) / (MEANINGFUL.swing + swingDb),
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
