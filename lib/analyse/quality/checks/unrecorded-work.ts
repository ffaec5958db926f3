import type { Prepared } from "@/lib/analyse/drift/design";
import { type Step, weeklyNoise } from "@/lib/analyse/drift/steps";
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
const RETURN_DB = 0.15;
const SIGMAS = 4;
const SEARCH_DAYS = 8;
const SIDE_DAYS = 3;
const IN_ONE_DAY = 0.6;

/** Steps of the signal up to about 100 % or more that no realignment, cleaning, repair or replacement explains. */
export function unrecordedWork({ members }: QualitySubject): QualityCheck {
  const judged = members.filter(({ prepared }) => (prepared?.weeks.day.length ?? 0) >= LEAST_WEEKS);
  const rule = `A rise between the medians of four weeks on either side of at least 0.2 dB and six times the weekly noise, most of it within one week and from one day to the next (between three days on either side) and movement by temperature taken off, that ends at ${AS_LEFT_PCT} % or more, with no realignment, cleaning, repair or replacement on record within ${RECORD_DAYS} days. A return to the level before a fall is left out: something in the beam may have been taken away.`;
  const looked = `${countInWords(judged.length, "detector")} with at least ${LEAST_WEEKS} weeks of readings`;
  const about = { kind, rule, looked } as const;
  if (judged.length === 0) return tooLittle(`No detector has ${LEAST_WEEKS} weeks of readings.`, about);
  const notes = judged.flatMap((member) => (member.prepared ? notesOf(member, member.prepared) : []));
  const names = [...new Set(notes.flatMap(({ detectorId }) => detectorId ?? []))];
  return checkOf(notes, {
    ...about,
    fine: "Every rise of the signal to what was left at a visit has a work record.",
    found: `Work seems not to have been recorded at ${countInWords(names.length, "detector")}: ${namesInWords(names)}.`,
  });
}

function notesOf({ history }: QualityMember, prepared: Prepared): QualityNote[] {
  const { weeks, steps, resets } = prepared;
  const noise = weeklyNoise(weeks, weeks.value);
  return steps.flatMap((step): QualityNote[] => {
    if (step.change >= 0) return [];
    const after = medianOfRange(weeks.value, step.row, Math.min(weeks.value.length, step.row + SIDE_WEEKS)) ?? 0;
    const before = medianOfRange(weeks.value, Math.max(0, step.row - SIDE_WEEKS), step.row) ?? 0;
    if (signalPctOf(after) < AS_LEFT_PCT) return [];
    const day = dayOfRise(history, step);
    if (day === null) return [];
    if (resets.some((reset) => Math.abs(reset.day - day) <= RECORD_DAYS)) return [];
    if (returns(prepared, { row: step.row, after, within: Math.max(RETURN_DB, SIGMAS * noise) })) return [];
    const { detectorId } = history.detector;
    const startAt = day * DAY_MS;
    const levels = `from ${pct(before)} % to ${pct(after)} %`;
    return [
      {
        kind,
        detectorId,
        serious: false,
        short: "a visit seems not to be on record",
        sentence: `The signal of ${detectorId} rose ${levels} about ${dayInWords(startAt + DAY_MS / 2, history.site.timeZone)} with no work on record within ${RECORD_DAYS} days: a realignment or cleaning seems not to have been recorded.`,
        startAt,
        endAt: startAt,
        limits: ["signal_drift", "repeat_realignment"],
      },
    ];
  });
}

function pct(attenuationDb: number): number {
  return Math.round(signalPctOf(attenuationDb));
}

// Whether the level after a rise is the one before an earlier fall.
function returns(
  { weeks, steps }: Prepared,
  { row, after, within }: { row: number; after: number; within: number },
): boolean {
  return steps.some((fall) => {
    if (fall.change <= 0 || fall.row >= row) return false;
    const level = medianOfRange(weeks.value, Math.max(0, fall.row - SIDE_WEEKS), fall.row) ?? 0;
    return Math.abs(level - after) <= within;
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
