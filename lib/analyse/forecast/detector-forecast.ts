import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import type { Estimate } from "@/lib/kernel/interval";

/** A number of events to come: mean, ends of the 90 % prediction interval, and variance. */
export type CountOutlook = Estimate & { readonly variance: number };

/** What a forecast is moved by. */
export type MoveGroup = "own history" | "season" | "signal" | "work" | "site" | "build";

/** How far one group of facts moves a detector's expectation away from the fleet's typical detector. */
export type ForecastMove = {
  readonly kind: EventKind;
  readonly group: MoveGroup;
  /** The fact in plain words, with its number. */
  readonly sentence: string;
  /** Events over the horizon more (or, below 0, fewer) than were this group as usual in the fleet. */
  readonly events: number;
};

/** The part of the expected events of one kind that one cause is likely behind. */
export type ModeOutlook = {
  readonly kind: EventKind;
  readonly cause: Cause;
  readonly mean: number;
  readonly variance: number;
};

/** What one detector is expected to give over the horizon without a visit. */
export type DetectorForecast = {
  readonly faults: CountOutlook;
  readonly unwantedAlarms: CountOutlook;
  /** By kind and cause; the means and variances of a kind add up to its own. */
  readonly modes: readonly ModeOutlook[];
  /** Up to three groups of each kind that move the expectation most, largest first. */
  readonly moves: readonly ForecastMove[];
};
