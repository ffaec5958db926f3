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
  soiling: 40,
  thermal_movement: 36,
  loose_mount: 24,
  low_sun: 24,
  steam: 24,
  seasonal_stock: 20,
  insects: 16,
  ageing: 30,
  bad_luck: 60,
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
  /** Ordinary faults and unwanted alarms a year. */
  readonly faultsPerYear: number;
  readonly alarmsPerYear: number;
  readonly noiseDb: number;
};

/** Draws the traits of a detector with a cause; ordinary rates are gamma-distributed between detectors. */
export function drawTraits(cause: Cause, chance: Chance): Traits {
  const sign = chance() < 0.5 ? -1 : 1;
  const plain: Traits = {
    // Most halls are clean: only one in four shows its dirt within years.
    soilDbPerDay: (chance() < 0.75 ? between(chance, 0, 0.002) : between(chance, 0.005, 0.02)) / 30,
    thermalDbPerK: sign * between(chance, 0.001, 0.006),
    bowDbPerK2: between(chance, 0, 0.0002),
    hold: { shape: 1, scale: 3300 },
    faultsPerYear: 0.5 * gammaOfMeanOne(chance, 1.2),
    alarmsPerYear: 0.02 * gammaOfMeanOne(chance, 1),
    noiseDb: between(chance, 0.02, 0.06),
  };
  switch (cause) {
    case "soiling":
      return { ...plain, soilDbPerDay: between(chance, 0.2, 0.5) / 30 };
    case "thermal_movement":
      return {
        ...plain,
        thermalDbPerK: sign * between(chance, 0.2, 0.3),
        bowDbPerK2: between(chance, 0.012, 0.02),
      };
    case "loose_mount":
      return { ...plain, hold: { shape: 2.5, scale: between(chance, 40, 95) } };
    default:
      return plain;
  }
}
