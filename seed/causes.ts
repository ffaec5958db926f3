import type { Chance } from "@/lib/kernel/chance";
import { between, gammaOfMeanOne } from "@/seed/draws";

/** What is planted in a detector; bad_luck has no cause at all, plain is an ordinary detector. */
export const causes = [
  "soiling",
  "thermal_movement",
  "loose_mount",
  "low_sun",
  "steam",
  "seasonal_stock",
  "insects",
  "ageing",
  "bad_luck",
  "plain",
] as const;

/** One of {@link causes}. */
export type Cause = (typeof causes)[number];

/** Planted detectors of each cause for every 1,200 of the fleet; the rest are plain. */
export const plantedPer1200: Readonly<Record<Exclude<Cause, "plain">, number>> = {
  soiling: 30,
  thermal_movement: 24,
  loose_mount: 18,
  low_sun: 9,
  steam: 8,
  seasonal_stock: 7,
  insects: 6,
  ageing: 20,
  bad_luck: 40,
};

/** What a detector is like, in the terms of the simulation. */
export type Traits = {
  /** Attenuation added by dirt, dB a day. */
  readonly soilDbPerDay: number;
  /** Attenuation per kelvin away from the temperature at the last realignment, and per kelvin squared. */
  readonly thermalDbPerK: number;
  readonly bowDbPerK2: number;
  /** Time an alignment lasts: Weibull shape and scale in days. */
  readonly hold: { readonly shape: number; readonly scale: number };
  /** Call-outs take its dirt for a lost alignment until compensation is at its limit. */
  readonly dirtMisread: boolean;
  /** How often the planted cause strikes, 1 for its usual rate. */
  readonly causeRate: number;
  /** Ordinary faults and unwanted alarms a year. */
  readonly faultsPerYear: number;
  readonly alarmsPerYear: number;
  readonly noiseDb: number;
};

/** Draws the traits of a detector with a cause; ordinary rates are gamma-distributed between detectors. */
export function drawTraits({ cause, severe }: { cause: Cause; severe: boolean }, chance: Chance): Traits {
  const sign = chance() < 0.5 ? -1 : 1;
  const plain: Traits = {
    // Most halls are clean: only one in four shows its dirt within years.
    soilDbPerDay: (chance() < 0.75 ? between(chance, 0, 0.002) : between(chance, 0.005, 0.02)) / 30,
    thermalDbPerK: sign * between(chance, 0.001, 0.006),
    bowDbPerK2: between(chance, 0, 0.0002),
    hold: { shape: 1, scale: 9000 },
    dirtMisread: severe,
    causeRate: between(chance, 0.6, 1.4),
    faultsPerYear: 0.36 * gammaOfMeanOne(chance, 1.2),
    alarmsPerYear: 0.02 * gammaOfMeanOne(chance, 1),
    noiseDb: between(chance, 0.02, 0.06),
  };
  switch (cause) {
    case "soiling":
      return { ...plain, soilDbPerDay: (severe ? between(chance, 0.16, 0.2) : between(chance, 0.12, 0.3)) / 30 };
    case "thermal_movement":
      return {
        ...plain,
        thermalDbPerK: sign * between(chance, 0.2, 0.3),
        bowDbPerK2: between(chance, 0.009, 0.015),
      };
    case "loose_mount":
      return { ...plain, hold: { shape: 2.5, scale: severe ? between(chance, 26, 42) : between(chance, 60, 120) } };
    default:
      return plain;
  }
}
