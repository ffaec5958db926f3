import { checkOf, type QualityCheck, type QualityNote, tooLittle } from "@/lib/analyse/quality/quality";
import type { RepeatRun, RepeatTrace } from "@/lib/analyse/quality/repeats";
import type { QualityMember, QualitySubject } from "@/lib/analyse/quality/subject";
import { lengthInWords, namesInWords } from "@/lib/analyse/quality/words";
import { countInWords, dayInWords, inWords } from "@/lib/analyse/wording";
import { lengthOf, within } from "@/lib/kernel/interval";
import { DAY_MS } from "@/lib/kernel/units";

const kind = "stuck";
const LEAST_READINGS = 60;
const CHANCE = 0.001;
/** Neighbouring readings are alike, so that only a third of them count as new ones. */
const ALIKE = 3;
const USUAL_LONG_SHARE = 0.2;
/** From here on a detector's steps are coarse against its noise, and long repeats are its nature. */
const COARSE_SHARE = 0.4;
const COARSE_TIMES = 5;
const OPEN_FAULT_DAYS = 30;
const LEAST_MATES = 3;

/** Detectors that read one value for days where their own noise, or that of their neighbours, makes it improbable. */
export function stuck(subject: QualitySubject): QualityCheck {
  const { members, asOf } = subject;
  const judged = members.filter(({ trace }) => (trace?.count ?? 0) >= LEAST_READINGS);
  const rule = `A value read at least 12 times over 3 days or more is stuck when a run as long would come by chance in fewer than 1 in ${(1 / CHANCE).toLocaleString("en")} records, by how often the detector repeats its value otherwise (only every third reading counts as new), and when less than ${100 * USUAL_LONG_SHARE} % of its other readings stand in runs a third as long; a detector of which more than ${100 * COARSE_SHARE} % of neighbouring readings are alike must also stand still ${COARSE_TIMES} times as long as ever otherwise. One that never changed is set against its neighbours. Signal only: compensation stands still by nature.`;
  const looked = `${countInWords(judged.length, "detector")} with at least ${LEAST_READINGS} readings`;
  const about = { kind, rule, looked } as const;
  if (judged.length === 0) return tooLittle(`No detector has ${LEAST_READINGS} readings.`, about);
  const notes = judged.flatMap((member) => {
    const { trace } = member;
    if (trace === null) return [];
    return improbableRuns(trace.repeats, usualOf(member, judged))
      .filter((run) => !explained(run, { member, asOf }))
      .map((run) => noteOf(run, { member, asOf, step: trace.stepMs ?? DAY_MS }));
  });
  const names = [...new Set(notes.flatMap(({ detectorId }) => detectorId ?? []))];
  return checkOf(notes, {
    ...about,
    fine: "No detector repeated one value for longer than its own noise allows.",
    found: `${countInWords(names.length, "detector")} repeated one value for days: ${namesInWords(names)}.`,
  });
}

/** Share of neighbouring readings that are alike anyway; null where that is not known. */
type Usual = { readonly share: (without: number) => number | null };

// The detector's own habit; that of its neighbours where it never changed.
function usualOf({ trace }: QualityMember, judged: readonly QualityMember[]): Usual {
  const own = trace?.repeats;
  if (own && own.samePairs < own.pairs) {
    return {
      share: (without) => (own.pairs > without ? Math.max(0, own.samePairs - without) / (own.pairs - without) : null),
    };
  }
  const mates = judged.flatMap((one) => (one.trace && one.trace !== trace ? [one.trace.repeats] : []));
  const shares = mates.map(({ pairs, samePairs }) => samePairs / Math.max(1, pairs)).sort((a, b) => a - b);
  // The quietest but one of four neighbours: a detector may well be as quiet as that.
  const quiet = shares.length < LEAST_MATES ? null : (shares[Math.ceil(0.75 * (shares.length - 1))] ?? null);
  return { share: () => quiet };
}

/** Runs too long for the detector's habit, longest first. */
export function improbableRuns(repeats: RepeatTrace, { share }: Usual): RepeatRun[] {
  const found: RepeatRun[] = [];
  let taken = 0;
  for (const [place, run] of repeats.long.entries()) {
    const usual = share(taken + run.readings - 1);
    if (usual === null) break;
    const floor = Math.max(usual, 1 / Math.max(2, repeats.pairs));
    const logChance = ((run.readings - 1) / ALIKE) * Math.log(floor) + Math.log(repeats.pairs + 1);
    if (logChance >= Math.log(CHANCE) || longShare(repeats, { run, found }) >= USUAL_LONG_SHARE) break;
    const next = repeats.long[place + 1]?.readings ?? 0;
    if (usual > COARSE_SHARE && run.readings < COARSE_TIMES * next) break;
    found.push(run);
    taken += run.readings - 1;
  }
  return found;
}

// Share of the other readings that stand in runs at least about a third as long as this one.
function longShare(
  { runsByLength, pairs }: RepeatTrace,
  { run, found }: { run: RepeatRun; found: readonly RepeatRun[] },
): number {
  const place = 31 - Math.clz32(Math.max(1, Math.floor(run.readings / 3)));
  const others = [...found, run].reduce((sum, one) => sum + one.readings, 0);
  const long = runsByLength.reduce((sum, readings, index) => (index >= place ? sum + readings : sum), 0);
  return pairs + 1 > others ? (long - others) / (pairs + 1 - others) : 0;
}

// Light that a known fault holds back, or a detector out of service, may well read one value.
function explained(run: RepeatRun, { member: { history }, asOf }: { member: QualityMember; asOf: number }): boolean {
  const span = { startAt: run.startAt, endAt: run.endAt };
  const half = (run.endAt - run.startAt) / 2;
  const faults = history.faults.map(({ beganAt, endedAt }) => ({
    startAt: beganAt,
    endAt: endedAt ?? Math.min(asOf, beganAt + OPEN_FAULT_DAYS * DAY_MS),
  }));
  return lengthOf(within(faults, span)) >= half || lengthOf(within(history.exposure.observed, span)) < half;
}

function noteOf(
  run: RepeatRun,
  { member: { history }, asOf, step }: { member: QualityMember; asOf: number; step: number },
): QualityNote {
  const { detectorId } = history.detector;
  const zone = history.site.timeZone;
  const length = lengthInWords(run.endAt - run.startAt);
  const lasts = asOf - run.endAt <= 2 * step;
  const heat =
    run.temperatureMoved === null
      ? ""
      : run.temperatureMoved
        ? " while its temperature went on moving"
        : ", its temperature too";
  return {
    kind,
    detectorId,
    serious: true,
    short: `one value for ${length}`,
    sentence: `${detectorId} read ${inWords(run.signalPct)} % in ${run.readings} readings on end, from ${dayInWords(run.startAt, zone)} ${lasts ? "on" : `to ${dayInWords(run.endAt, zone)}`} (${length})${heat}: an old value seems to have been sent again.`,
    startAt: run.startAt,
    endAt: lasts ? null : run.endAt,
    limits: ["signal_drift"],
  };
}
