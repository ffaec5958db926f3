import type { Prepared } from "@/lib/analyse/drift/design";
import { resetsBefore } from "@/lib/analyse/drift/resets";
import { type Step, weeklyNoise } from "@/lib/analyse/drift/steps";
import { type DayRise, dayRises } from "@/lib/analyse/quality/day-rises";
import { checkOf, type QualityCheck, type QualityNote, tooLittle } from "@/lib/analyse/quality/quality";
import type { QualityMember, QualitySubject } from "@/lib/analyse/quality/subject";
import { namesInWords } from "@/lib/analyse/quality/words";
import { countInWords, dayInWords } from "@/lib/analyse/wording";
import { DAY_MS, signalPctOf } from "@/lib/kernel/units";
import { medianOfRange } from "@/lib/statistics/order-statistics";

const kind = "unrecorded_work";
const SIDE_WEEKS = 4;
const LEAST_WEEKS = 8;
const AS_LEFT_PCT = 95;
const RECORD_DAYS = 10;
const SAME_DB = 0.15;
const SIGMAS = 4;
const SEARCH_DAYS = 8;
const SIDE_DAYS = 3;
const IN_ONE_DAY = 0.6;
const LOW_DAYS = 7;
const NEAR_DAYS = 14;
const rule = `A rise from one day to the next that ends at ${AS_LEFT_PCT} % or more, with no realignment, cleaning, repair or replacement on record within ${RECORD_DAYS} days: of at least 0.5 dB between three days on either side, three times what 95 % of the detector's own such changes stay below, and still there over two weeks; or of at least 0.2 dB and six times the weekly noise between four weeks on either side, movement by temperature taken off. A return to the level before a fall is told from ${LOW_DAYS} days below on and without a blocked path on record, since it may as well be something taken out of the beam.`;

/** Rises of the signal to about 100 % or more that no realignment, cleaning, repair or replacement explains. */
export function unrecordedWork({ members }: QualitySubject): QualityCheck {
  const judged = members.filter(({ prepared }) => (prepared?.weeks.day.length ?? 0) >= LEAST_WEEKS);
  const looked = `${countInWords(judged.length, "detector")} with at least ${LEAST_WEEKS} weeks of readings`;
  const about = { kind, rule, looked } as const;
  if (judged.length === 0) return tooLittle(`No detector has ${LEAST_WEEKS} weeks of readings.`, about);
  const notes = judged.flatMap((member) => (member.prepared ? notesOf(member, member.prepared) : []));
  const names = [...new Set(notes.flatMap(({ detectorId }) => detectorId ?? []))];
  return checkOf(notes, {
    ...about,
    fine: "Every rise of the signal to what a visit leaves has a work record.",
    found: `Work may not have been recorded at ${countInWords(names.length, "detector")}: ${namesInWords(names)}.`,
  });
}

type Rise = {
  readonly day: number;
  readonly beforeDb: number;
  readonly afterDb: number;
  readonly lowSince: number | null;
};

function notesOf(member: QualityMember, prepared: Prepared): QualityNote[] {
  const { signal, work, asOf } = member.history;
  if (signal === null) return [];
  const resets = resetsBefore(work, asOf);
  const same = Math.max(SAME_DB, SIGMAS * weeklyNoise(prepared.weeks, prepared.weeks.value));
  const ofDays = dayRises(signal).flatMap((rise) => told(rise, { member, same }));
  const ofWeeks = prepared.steps.flatMap((step) => weekRise(step, { member, prepared, same }));
  const rises = [
    ...ofDays,
    ...ofWeeks.filter((rise) => !ofDays.some(({ day }) => Math.abs(day - rise.day) <= NEAR_DAYS)),
  ];
  return rises
    .filter(({ afterDb }) => signalPctOf(afterDb) >= AS_LEFT_PCT)
    .filter(({ day }) => !resets.some((reset) => Math.abs(reset.day - day) <= RECORD_DAYS))
    .sort((a, b) => a.day - b.day)
    .map((rise) => noteOf(rise, member));
}

// A rise of a day; with the day it fell where it came back to where it was.
function told(rise: DayRise, { member, same }: { member: QualityMember; same: number }): Rise[] {
  const { day, beforeDb, afterDb, lowSince, earlierDb } = rise;
  if (earlierDb === null || Math.abs(earlierDb - afterDb) > same) return [{ day, beforeDb, afterDb, lowSince: null }];
  const blocked = member.history.faults.some(
    ({ cause, beganAt }) => cause === "path_blocked" && beganAt / DAY_MS >= lowSince - 1 && beganAt / DAY_MS <= day + 1,
  );
  return day - lowSince < LOW_DAYS || blocked ? [] : [{ day, beforeDb, afterDb, lowSince }];
}

function weekRise(
  step: Step,
  { member, prepared, same }: { member: QualityMember; prepared: Prepared; same: number },
): Rise[] {
  if (step.change >= 0) return [];
  const { weeks } = prepared;
  const afterDb = medianOfRange(weeks.value, step.row, Math.min(weeks.value.length, step.row + SIDE_WEEKS)) ?? 0;
  const beforeDb = medianOfRange(weeks.value, Math.max(0, step.row - SIDE_WEEKS), step.row) ?? 0;
  const day = dayOfRise(member.history, step);
  if (day === null || returns(prepared, { row: step.row, afterDb, same })) return [];
  return [{ day, beforeDb, afterDb, lowSince: null }];
}

function noteOf({ day, beforeDb, afterDb, lowSince }: Rise, { history }: QualityMember): QualityNote {
  const { detectorId } = history.detector;
  const zone = history.site.timeZone;
  const inWords = (one: number) => dayInWords(one * DAY_MS + DAY_MS / 2, zone);
  const levels = `from ${pct(beforeDb)} % to ${pct(afterDb)} %`;
  const sentence =
    lowSince === null
      ? `The signal of ${detectorId} rose ${levels} about ${inWords(day)} with no work on record within ${RECORD_DAYS} days: a realignment or cleaning seems not to have been recorded.`
      : `The signal of ${detectorId}, low since ${inWords(lowSince)}, came back ${levels} about ${inWords(day)} with no work on record: either something was taken out of the beam, or a realignment was not recorded.`;
  return {
    kind,
    detectorId,
    serious: false,
    short: "a visit seems not to be on record",
    sentence,
    startAt: day * DAY_MS,
    endAt: day * DAY_MS,
    limits: ["signal_drift", "repeat_realignment"],
  };
}

function pct(attenuationDb: number): number {
  return Math.round(signalPctOf(attenuationDb));
}

// Whether the level after a rise is the one before an earlier fall.
function returns(
  { weeks, steps }: Prepared,
  { row, afterDb, same }: { row: number; afterDb: number; same: number },
): boolean {
  return steps.some((fall) => {
    if (fall.change <= 0 || fall.row >= row) return false;
    const level = medianOfRange(weeks.value, Math.max(0, fall.row - SIDE_WEEKS), fall.row) ?? 0;
    return Math.abs(level - afterDb) <= same;
  });
}

// Steps are known by the week; null where no single day makes most of it, as when the weather turns.
function dayOfRise({ signal }: QualityMember["history"], step: Step): number | null {
  if (signal === null) return null;
  const { day, attenuationDb } = signal;
  const least = IN_ONE_DAY * Math.abs(step.change);
  let best: number | null = null;
  let largest = least;
  for (let row = SIDE_DAYS; row + SIDE_DAYS <= day.length; row += 1) {
    if (Math.abs((day[row] ?? 0) - step.day) > SEARCH_DAYS) continue;
    if ((day[row + SIDE_DAYS - 1] ?? 0) - (day[row - SIDE_DAYS] ?? 0) > 2 * SEARCH_DAYS) continue;
    const once = (attenuationDb[row - 1] ?? 0) - (attenuationDb[row] ?? 0);
    const before = medianOfRange(attenuationDb, row - SIDE_DAYS, row) ?? 0;
    const fall = before - (medianOfRange(attenuationDb, row, row + SIDE_DAYS) ?? 0);
    if (once >= least && fall > largest) {
      largest = fall;
      best = day[row] ?? 0;
    }
  }
  return best;
}
