import type { MovedFile, QuarrelledSeam } from "@/lib/analyse/quality/clock/file-seams";
import type { PhaseDrift, PhaseJump } from "@/lib/analyse/quality/clock/phase-jumps";
import type { TwinReadings } from "@/lib/analyse/quality/clock/twin-readings";
import type { QualityNote } from "@/lib/analyse/quality/quality";
import type { ShiftedFile } from "@/lib/analyse/quality/shifted-values";
import type { ImportSpan } from "@/lib/analyse/quality/subject";
import { lengthInWords } from "@/lib/analyse/quality/words";
import { countInWords, dayInWords, inWords } from "@/lib/analyse/wording";
import type { TimeZone } from "@/lib/kernel/time";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";

type Words = { readonly zone: TimeZone; readonly imports: readonly ImportSpan[]; readonly stepMs: number | null };

const SERIOUS_MIN = 30;
const BACK_SHARE = 0.25;
const BACK_SLACK_MIN = 5;
const SEAM_MS = 1.5 * DAY_MS;
const limits = ["seasonal_alarms"];

/** Notes of jumps; one that is undone by the next becomes a stretch that stands off. */
export function phaseJumpNotes(
  jumps: readonly PhaseJump[],
  words: Words & { readonly seenBy: "grid" | "course" },
): QualityNote[] {
  const notes: QualityNote[] = [];
  for (let index = 0; index < jumps.length; index += 1) {
    const jump = jumps[index];
    const next = jumps[index + 1];
    if (!jump) continue;
    const slack = Math.max(BACK_SLACK_MIN, BACK_SHARE * Math.abs(jump.minutes));
    if (next && Math.abs(jump.minutes + next.minutes) <= slack) {
      notes.push(stretchNote(jump, next, words));
      index += 1;
    } else notes.push(jumpNote(jump, words));
  }
  return notes;
}

function jumpNote(jump: PhaseJump, { zone, imports, stepMs, seenBy }: Words & { seenBy: "grid" | "course" }) {
  const at = middayOf(jump.day);
  const moved = intervalWords(jump);
  const seen =
    seenBy === "grid"
      ? `its readings stand ${moved} ${direction(jump)} in their step from then on, summer time apart${orSteps(stepMs)}`
      : `the course of the day stands ${moved} ${direction(jump)} from then on`;
  const last = imports.reduce((latest, { lastAt }) => Math.max(latest, lastAt), -Infinity);
  const file = importOver({ startAt: jump.day * DAY_MS, endAt: last }, imports);
  const which = file ? ` What follows is import ${file.importId}, whose times may be shifted as a whole.` : "";
  return noteWith({
    short: `clock jumped by ${lengthInWords(jump.minutes * MINUTE_MS)}`,
    sentence: `The clock of this site jumped ${seenBy === "grid" ? "on" : "about"} ${dayInWords(at, zone)}: ${seen}.${which} Hours of the day before it may be off by as much${seenBy === "grid" ? ", unless only the schedule of readings was changed" : ""}.`,
    minutes: jump.minutes,
    startAt: jump.day * DAY_MS,
    endAt: null,
  });
}

function stretchNote(jump: PhaseJump, next: PhaseJump, { zone, imports, stepMs, seenBy }: Words & { seenBy: string }) {
  const startAt = jump.day * DAY_MS;
  const endAt = (next.beforeDay + 1) * DAY_MS;
  const what = seenBy === "grid" ? "readings" : "the course of the day";
  const verb = seenBy === "grid" ? "stand" : "stands";
  const file = importOver({ startAt, endAt }, imports);
  const which = file
    ? ` That is import ${file.importId}: its file seems to be shifted as a whole.`
    : " A file that was shifted as a whole looks like that, and so does a clock that was set wrong and put right.";
  return noteWith({
    short: `${lengthInWords(endAt - startAt)} of readings shifted by ${lengthInWords(jump.minutes * MINUTE_MS)}`,
    sentence: `From ${dayInWords(middayOf(jump.day), zone)} to ${dayInWords(middayOf(next.beforeDay), zone)} ${what} ${verb} ${intervalWords(jump)} ${direction(jump)} than before and after${seenBy === "grid" ? orSteps(stepMs) : ""}.${which}`,
    minutes: jump.minutes,
    startAt,
    endAt,
  });
}

/** Notes of steady wander. */
export function phaseDriftNotes(drifts: readonly PhaseDrift[], { zone }: Words): QualityNote[] {
  return drifts.map(({ fromDay, toDay, perMonth, low, high }) => {
    const total = (Math.abs(perMonth) * (toDay - fromDay)) / 30;
    const [least, most] = perMonth > 0 ? [low, high] : [-high, -low];
    const way = perMonth > 0 ? "later" : "earlier";
    return {
      kind: "clock",
      detectorId: null,
      serious: false,
      short: `clock drifts by ${inWords(Math.abs(perMonth))} minutes a month`,
      sentence: `The clock of this site drifts: from ${dayInWords(middayOf(fromDay), zone)} to ${dayInWords(middayOf(toDay), zone)} its readings stand ${inWords(Math.abs(perMonth))} minutes a month ${way} (99 % interval ${tenths(Math.floor(10 * least))} to ${tenths(Math.ceil(10 * most))}), ${lengthInWords(total * MINUTE_MS)} in all. A logger that starts each reading a little late looks the same.`,
      startAt: fromDay * DAY_MS,
      endAt: toDay * DAY_MS,
      limits,
    } as const;
  });
}

/** Notes of values that stand twice. */
export function twinNotes(twins: readonly TwinReadings[], { zone }: Words): QualityNote[] {
  return twins.map(({ minutes, pairs, firstAt, lastAt }) =>
    noteWith({
      short: `the same readings twice, ${lengthInWords(minutes * MINUTE_MS)} apart`,
      sentence: `From ${dayInWords(firstAt, zone)} to ${dayInWords(lastAt, zone)} ${countInWords(pairs, "reading")} stand twice, ${lengthInWords(minutes * MINUTE_MS)} apart: the same readings came in two files, one of them with its times shifted. Take that import back.`,
      minutes,
      startAt: firstAt,
      endAt: lastAt,
    }),
  );
}

/** Notes of imports whose values contradict those stored by a fixed shift. */
export function shiftedNotes(files: readonly ShiftedFile[], { zone }: Words): QualityNote[] {
  return files.map(({ importId, minutes, compared, firstAt, lastAt }) =>
    noteWith({
      short: `import ${importId} shifted by ${lengthInWords(minutes * MINUTE_MS)}`,
      sentence: `Import ${importId} says from ${dayInWords(firstAt, zone)} to ${dayInWords(lastAt, zone)} what was stored ${lengthInWords(minutes * MINUTE_MS)} ${minutes > 0 ? "earlier" : "later"} (${countInWords(compared, "reading")} compared): it, or the file before it, has its times shifted as a whole.`,
      minutes,
      startAt: firstAt,
      endAt: lastAt,
    }),
  );
}

/** Notes of files that stand off their neighbours. */
export function movedNotes(files: readonly MovedFile[], { zone }: Words): QualityNote[] {
  return files.map(({ importId, minutes, firstAt, lastAt }) =>
    noteWith({
      short: `import ${importId} shifted by ${lengthInWords(minutes * MINUTE_MS)}`,
      sentence: `Import ${importId}, ${dayInWords(firstAt, zone)} to ${dayInWords(lastAt, zone)}, leaves ${lengthInWords(minutes * MINUTE_MS)} ${minutes > 0 ? "more room before it and as much less behind it" : "less room before it and as much more behind it"} than files do, and contradicts its neighbour: its times seem to be shifted as a whole.`,
      minutes,
      startAt: firstAt,
      endAt: lastAt,
    }),
  );
}

/** Notes of files that contradict each other where they meet; not serious, since a correction looks the same. */
export function seamNotes(seams: readonly QuarrelledSeam[], { zone }: Words): QualityNote[] {
  return seams.map(({ importId, earlierId, firstAt, lastAt, readings }) => ({
    ...noteWith({
      short: `imports ${earlierId} and ${importId} disagree`,
      sentence: `Import ${importId} begins on ${dayInWords(firstAt, zone)} before import ${earlierId} ends and says something else in ${countInWords(readings, "reading")} there: the times of one of the two may be shifted as a whole.`,
      minutes: 0,
      startAt: firstAt,
      endAt: lastAt,
    }),
  }));
}

function noteWith({
  minutes,
  ...note
}: Pick<QualityNote, "short" | "sentence" | "startAt" | "endAt"> & { minutes: number }): QualityNote {
  return { kind: "clock", detectorId: null, serious: Math.abs(minutes) >= SERIOUS_MIN, limits, ...note };
}

function importOver(
  { startAt, endAt }: { startAt: number; endAt: number },
  imports: readonly ImportSpan[],
): ImportSpan | null {
  return (
    imports.find(
      ({ firstAt, lastAt }) => Math.abs(firstAt - startAt) <= SEAM_MS && Math.abs(lastAt - endAt) <= SEAM_MS,
    ) ?? null
  );
}

function intervalWords({ minutes, low, high }: PhaseJump): string {
  const [least, most] = minutes > 0 ? [low, high] : [-high, -low];
  const interval = `95 % interval ${Math.max(0, Math.floor(least))} to ${Math.ceil(most)}`;
  return `${countInWords(Math.round(Math.abs(minutes)), "minute")} (${interval})`;
}

function tenths(value: number): string {
  return inWords(value / 10);
}

function direction({ minutes }: PhaseJump): string {
  return minutes > 0 ? "later" : "earlier";
}

function orSteps(stepMs: number | null): string {
  return stepMs === null || stepMs >= DAY_MS ? "" : `, or that much and whole steps of ${lengthInWords(stepMs)}`;
}

function middayOf(day: number): number {
  return day * DAY_MS + DAY_MS / 2;
}
