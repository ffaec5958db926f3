import type { Cause, EventKind } from "@/lib/analyse/modes/cause";
import type { CauseShare, ModeEvidence } from "@/lib/analyse/modes/mode-model";
import type { ModeUnit } from "@/lib/analyse/modes/mode-units";
import { isSunInView } from "@/lib/analyse/sun-views";

const FACTS = 3;
const TELLING_DB = 0.2;

/** The cause behind most of a detector's events with the facts that bear on it; null without events. */
export function evidenceFor(
  unit: ModeUnit,
  { kind, shares, asOf }: { kind: EventKind; shares: readonly (readonly CauseShare[])[]; asOf: number },
): ModeEvidence | null {
  if (shares.length === 0) return null;
  const sums = new Map<Cause, number>();
  for (const event of shares) {
    for (const { cause, value } of event) sums.set(cause, (sums.get(cause) ?? 0) + value / shares.length);
  }
  const [leading] = [...sums].sort(([, a], [, b]) => b - a);
  if (!leading) return null;
  const [cause, probability] = leading;
  return { cause, probability, facts: factsOf(cause, { unit, kind, asOf }).slice(0, FACTS) };
}

type Asked = { readonly unit: ModeUnit; readonly kind: EventKind; readonly asOf: number };

function factsOf(cause: Cause, asked: Asked): string[] {
  switch (cause) {
    case "low sun":
      return lowSun(asked);
    case "cold or steam mornings":
      return [hours(asked, morningOrBusiest(asked))];
    case "insects":
      return [hours(asked, { from: 19, to: 6 })];
    case "seasonal stock":
      return [hours(asked, { from: 6, to: 20 })];
    case "blocked path":
      return [said(asked, 1, "a blocked path"), hours(asked, { from: 6, to: 20 })].flatMap((one) => one ?? []);
    case "equipment":
      return asked.kind === "alarm"
        ? [said(asked, 1, "the equipment")].flatMap((one) => one ?? [])
        : [said(asked, 3, "no cause")].flatMap((one) => one ?? []);
    case "unknown":
      return [];
    default:
      return signalFacts(cause, asked);
  }
}

function lowSun({ unit: { ground, events }, kind }: Asked): string[] {
  const { detector, site } = ground.history;
  const inside = events.filter(({ beganAt }) => isSunInView(beganAt, { detector, site })).length;
  return [`${inside} of ${counted(events.length, kind)} came with the sun in view`];
}

function hours({ unit: { events }, kind }: Asked, { from, to }: { from: number; to: number }): string {
  const inside = events.filter(({ hour }) => (from < to ? hour >= from && hour < to : hour >= from || hour < to));
  return `${inside.length} of ${counted(events.length, kind)} came between ${from} and ${to} o'clock`;
}

// Steam of a wash-down keeps to its own hour, whichever that is.
function morningOrBusiest({ unit: { events } }: Asked): { from: number; to: number } {
  const inMorning = events.filter(({ hour }) => hour >= 3 && hour < 10).length;
  if (2 * inMorning >= events.length) return { from: 3, to: 10 };
  const within = (from: number) => events.filter(({ hour }) => (hour - from + 24) % 24 < 3).length;
  const from = Array.from({ length: 24 }, (_, hour) => hour).reduce((best, hour) =>
    within(hour) > within(best) ? hour : best,
  );
  return { from, to: (from + 3) % 24 };
}

function said({ unit: { events }, kind }: Asked, word: number, inWords: string): string | null {
  const told = events.filter((event) => event.word === word).length;
  if (told === 0) return null;
  const who = kind === "fault" ? "the panel gave" : "were put down to";
  return kind === "fault"
    ? `${who} ${inWords} for ${told} of ${counted(events.length, kind)}`
    : `${told} of ${counted(events.length, kind)} ${who} ${inWords}`;
}

// What readings and work say, the facts that bear on the cause first.
function signalFacts(cause: Cause, asked: Asked): string[] {
  const { ground } = asked.unit;
  const { asOf } = asked;
  const facts = ground.track?.factsAt(asOf) ?? null;
  const used = ground.track?.marginAt(asOf).level ?? null;
  const callOuts = ground.callOuts.filter((at) => at < asOf).length;
  const rise = facts !== null && facts.riseDbPerYear >= TELLING_DB;
  const lines: Partial<Record<Cause, readonly (string | null)[]>> = {
    soiling: [
      rise ? `the signal falls by ${decibels(facts.riseDbPerYear)} a year` : null,
      gain(facts?.cleanGainDb ?? null, "clean"),
      used === null ? null : `${Math.round(100 * used)} % of the margin is used`,
    ],
    "compensation at its limit": [
      asked.kind === "fault" ? said(asked, 2, "the limit of compensation") : null,
      used === null ? null : `${Math.round(100 * used)} % of the margin is used`,
    ],
    "thermal movement": [
      facts !== null ? `the signal swings by ${decibels(facts.swingDb)} with day and temperature` : null,
      gain(facts?.realignGainDb ?? null, "realignment"),
    ],
    "mount that will not hold": [
      callOuts > 0 ? `realigned ${callOuts === 1 ? "once" : `${callOuts} times`} on call-out` : null,
      gain(facts?.realignGainDb ?? null, "realignment"),
    ],
    "knocked out of line": [
      facts !== null && facts.stepDbPerYear > 0
        ? `sudden losses of ${decibels(facts.stepDbPerYear)} a year with no work on record`
        : null,
      gain(facts?.realignGainDb ?? null, "realignment"),
    ],
    ageing: [
      rise ? `the signal falls by ${decibels(facts.riseDbPerYear)} a year` : null,
      gain(facts?.cleanGainDb ?? null, "clean"),
    ],
  };
  const low = asked.kind === "fault" ? said(asked, 0, "a low signal") : null;
  return [...(lines[cause] ?? []), low].flatMap((line) => line ?? []);
}

function gain(db: number | null, work: string): string | null {
  if (db === null) return null;
  return db >= 0.05 ? `the signal rose by ${decibels(db)} at a ${work}` : `a ${work} gave no signal back`;
}

function decibels(db: number): string {
  return `${db.toFixed(1)} dB`;
}

function counted(events: number, kind: EventKind): string {
  const word = kind === "fault" ? "fault" : "alarm";
  return `${events} ${word}${events === 1 ? "" : "s"}`;
}
