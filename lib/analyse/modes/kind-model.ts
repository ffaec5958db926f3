import type { Episode } from "@/lib/analyse/episodes";
import type { Cause, EventKind } from "@/lib/analyse/modes/cause";

/** What is stated beforehand of a kind of event: its causes, how common they are, and the words recorded for each. */
export type KindModel = {
  readonly kind: EventKind;
  /** The first is the background; low sun stands twice, as either end of a beam may be the receiver. */
  readonly causes: readonly Cause[];
  /** For each cause the end of the beam the low sun shines on, 0 or 1; 0 for all other causes. */
  readonly ends: readonly (0 | 1)[];
  /** Share of events expected of each cause, sum 1. */
  readonly shares: readonly number[];
  readonly words: readonly string[];
  /** Column of a cause that keeps to one hour of the detector's own; -1 where there is none. */
  readonly ownHour: number;
  /** Probability of each word for each cause, a row a cause. */
  readonly wordGiven: readonly (readonly number[])[];
  /** Word of an episode as an index; -1 where nothing was recorded. */
  readonly wordOf: (episode: Episode) => number;
};

type Row = {
  readonly cause: Cause;
  readonly share: number;
  readonly words: readonly number[];
  readonly end?: 1;
  /** Keeps to an hour of the detector's own, whatever it is, all the year. */
  readonly ownHour?: true;
};

const faultWords = ["low_signal", "path_blocked", "compensation_limit", "unknown"];
const alarmWords = ["unwanted", "equipment"];

/**
 * Faults: how common causes are and what panels write for them, one to two in ten of them wrong.
 * Source: common practice; the fleet's own records move both.
 */
const faultRows: readonly Row[] = [
  { cause: "unknown", share: 0.33, words: [0.3, 0.27, 0.05, 0.38] },
  { cause: "blocked path", share: 0.13, words: [0.08, 0.8, 0.02, 0.1] },
  { cause: "soiling", share: 0.15, words: [0.52, 0.05, 0.33, 0.1] },
  { cause: "compensation at its limit", share: 0.01, words: [0.1, 0.02, 0.8, 0.08] },
  { cause: "thermal movement", share: 0.08, words: [0.82, 0.05, 0.03, 0.1] },
  { cause: "mount that will not hold", share: 0.07, words: [0.82, 0.05, 0.03, 0.1] },
  { cause: "knocked out of line", share: 0.03, words: [0.82, 0.05, 0.03, 0.1] },
  { cause: "ageing", share: 0.04, words: [0.48, 0.04, 0.33, 0.15] },
  { cause: "equipment", share: 0.08, words: [0.27, 0.08, 0.07, 0.58] },
  { cause: "low sun", share: 0.01, words: [0.5, 0.15, 0.05, 0.3] },
  { cause: "low sun", share: 0.01, words: [0.5, 0.15, 0.05, 0.3], end: 1 },
  { cause: "cold or steam mornings", share: 0.02, words: [0.6, 0.25, 0.05, 0.1] },
  { cause: "insects", share: 0.02, words: [0.3, 0.55, 0.05, 0.1] },
  { cause: "seasonal stock", share: 0.02, words: [0.08, 0.8, 0.02, 0.1] },
];

/** Unwanted alarms: how common causes are and what people judge them to be. Source: common practice. */
const alarmRows: readonly Row[] = [
  { cause: "unknown", share: 0.2, words: [0.88, 0.12] },
  { cause: "low sun", share: 0.06, words: [0.92, 0.08] },
  { cause: "low sun", share: 0.04, words: [0.92, 0.08], end: 1 },
  { cause: "cold or steam mornings", share: 0.13, words: [0.92, 0.08] },
  { cause: "cold or steam mornings", share: 0.06, words: [0.92, 0.08], ownHour: true },
  { cause: "insects", share: 0.1, words: [0.92, 0.08] },
  { cause: "seasonal stock", share: 0.09, words: [0.92, 0.08] },
  { cause: "blocked path", share: 0.04, words: [0.92, 0.08] },
  { cause: "soiling", share: 0.12, words: [0.85, 0.15] },
  { cause: "ageing", share: 0.02, words: [0.75, 0.25] },
  { cause: "thermal movement", share: 0.04, words: [0.88, 0.12] },
  { cause: "mount that will not hold", share: 0.03, words: [0.88, 0.12] },
  { cause: "equipment", share: 0.07, words: [0.2, 0.8] },
];

/** The model of faults. */
export const faultKind: KindModel = {
  kind: "fault",
  ...fromRows(faultRows),
  words: faultWords,
  wordOf: ({ cause }) => (cause === null ? -1 : Math.max(faultWords.indexOf(cause), cause in siteWords ? 3 : -1)),
};

/** The model of the detector's own unwanted alarms. */
export const alarmKind: KindModel = {
  kind: "alarm",
  ...fromRows(alarmRows),
  words: alarmWords,
  wordOf: ({ verdict }) => (verdict === null ? -1 : alarmWords.indexOf(verdict)),
};

// Supply and wiring of one detector alone say no more of it than an unknown cause.
const siteWords: Readonly<Record<string, true>> = { power: true, communication: true };

function fromRows(rows: readonly Row[]): Pick<KindModel, "causes" | "ends" | "shares" | "wordGiven" | "ownHour"> {
  return {
    ownHour: rows.findIndex(({ ownHour }) => ownHour === true),
    causes: rows.map(({ cause }) => cause),
    ends: rows.map(({ end }) => end ?? 0),
    shares: rows.map(({ share }) => share),
    wordGiven: rows.map(({ words }) => words),
  };
}
