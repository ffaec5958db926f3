import { courseShifts } from "@/lib/analyse/quality/clock/course-shifts";
import { movedFiles, quarrelledSeams } from "@/lib/analyse/quality/clock/file-seams";
import {
  movedNotes,
  phaseDriftNotes,
  phaseJumpNotes,
  seamNotes,
  shiftedNotes,
  twinNotes,
} from "@/lib/analyse/quality/clock/notes";
import { type PhaseJump, phaseDrifts, phaseJumps } from "@/lib/analyse/quality/clock/phase-jumps";
import { type SitePhase, sitePhase } from "@/lib/analyse/quality/clock/site-phase";
import { twinReadings } from "@/lib/analyse/quality/clock/twin-readings";
import { checkOf, type QualityCheck, type QualityNote, tooLittle } from "@/lib/analyse/quality/quality";
import type { ReadingTrace } from "@/lib/analyse/quality/reading-trace";
import type { QualitySubject } from "@/lib/analyse/quality/subject";
import { lengthInWords } from "@/lib/analyse/quality/words";
import { countInWords } from "@/lib/analyse/wording";
import { offsetMsAt, type TimeZone } from "@/lib/kernel/time";
import { DAY_MS, HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";

const kind = "clock";
const LEAST_DAYS = 14;
const NEAR_DAYS = 10;
const WALL_SLACK_MIN = 20;
const LEAST_GRID_SHARE = 0.5;
const rule =
  "Readings come on a grid: the place of a day's readings in their step, in UTC or in wall time (whichever jumps less, since a logger may keep either), is followed over the site, by the detectors of which at least half of the days have all readings at one place. Told are jumps of at least 5 minutes and six times the noise between the medians of a week on either side, and steady wander of 5 minutes and more. Where the step is three hours or less, the course of the day (temperature, else signal) of four weeks on either side must not turn by 30 minutes and six standard errors (four and a half where an import begins). Files are set against their neighbours: the same values twice a fixed time apart, a file that leaves as much more room before it as less behind it, and one that contradicts the one before where they meet.";

/** Whether the clock behind the times of a site jumped, drifted, or one of its files is shifted as a whole. */
export function clock(subject: QualitySubject): QualityCheck {
  const traces = subject.members.flatMap(({ trace }) => trace ?? []);
  const stepMs = usualStep(traces);
  const zone = subject.site.site.timeZone;
  const grid = stepMs === null ? null : gridOf(traces, { stepMs, zone });
  const seams = new Set(subject.imports.map(({ firstAt }) => Math.floor(firstAt / DAY_MS)));
  const { shifts: turns, leastMinutes, days: courses } = courseShifts(traces, { seams });
  const { jumps, drifts, days } = grid ?? { jumps: [], drifts: [], days: 0 };
  const shifts = turns.filter(
    (shift) => !followsWallTime(shift, zone) && !jumps.some((jump) => Math.abs(jump.day - shift.day) <= NEAR_DAYS),
  );
  const looked = lookedAt({ traces: traces.length, stepMs, days, courses, files: subject.imports.length });
  const about = { kind, rule, looked } as const;
  const words = { zone, imports: subject.imports, stepMs };
  const notes: QualityNote[] = [
    ...phaseJumpNotes(jumps, { ...words, seenBy: "grid" }),
    ...phaseJumpNotes(shifts, { ...words, seenBy: "course" }),
    ...phaseDriftNotes(drifts, words),
    ...twinNotes(twinReadings(traces), words),
    ...shiftedNotes(subject.shiftedFiles, words),
  ];
  const moved = movedFiles(subject.imports).filter(
    (file) => !notes.some((note) => (note.startAt ?? 0) < file.lastAt && (note.endAt ?? Infinity) > file.firstAt),
  );
  notes.push(...movedNotes(moved, words));
  const told = (at: number) =>
    notes.some(({ startAt, endAt }) => (startAt ?? 0) <= at + DAY_MS && (endAt ?? Infinity) >= at - DAY_MS);
  const seamsOf = { detectors: traces.length, stepMs: stepMs ?? HOUR_MS };
  notes.push(
    ...seamNotes(
      quarrelledSeams(subject.imports, seamsOf).filter(({ firstAt }) => !told(firstAt)),
      words,
    ),
  );
  if (notes.length === 0 && days < LEAST_DAYS && courses < 2 * LEAST_DAYS) {
    return tooLittle(
      stepMs === null
        ? "Its readings come at no steady step, so that a clock that jumps could not be seen."
        : `Only ${countInWords(days, "day")} of detectors on a grid are known; ${LEAST_DAYS} are needed to see a clock jump.`,
      about,
    );
  }
  return checkOf(notes, {
    ...about,
    fine: `Its clock neither jumped nor drifted, summer time apart.${unseen({ stepMs, leastMinutes })}`,
    found: notes[0]?.sentence ?? "",
  });
}

// A shift by whole steps leaves the grid as it is; only the course of the day may show it.
function unseen({ stepMs, leastMinutes }: { stepMs: number | null; leastMinutes: number | null }): string {
  if (stepMs !== null && HOUR_MS % stepMs !== 0) return "";
  if (leastMinutes !== null && leastMinutes <= 60) return "";
  const size =
    leastMinutes === null || leastMinutes > DAY_MS / 4 / MINUTE_MS ? null : lengthInWords(leastMinutes * MINUTE_MS);
  return size === null
    ? " A shift by a whole hour could not be seen in it."
    : ` A shift by whole hours could only be seen from ${size} on.`;
}

type Grid = {
  readonly jumps: readonly PhaseJump[];
  readonly drifts: ReturnType<typeof phaseDrifts>;
  readonly days: number;
};

// A logger may keep standard time or follow the site's wall clock; either is right as long as it does so throughout.
function gridOf(traces: readonly ReadingTrace[], { stepMs, zone }: { stepMs: number; zone: TimeZone }): Grid {
  const ofStep = traces.filter((trace) => trace.stepMs === stepMs && hasGrid(trace));
  const judged = (phase: SitePhase): Grid => {
    const jumps = phaseJumps(phase);
    return { jumps, drifts: phaseDrifts(phase, jumps), days: phase.day.length };
  };
  const inUtc = judged(sitePhase(ofStep, { stepMs, offsetMs: () => 0 }));
  if (inUtc.jumps.length === 0) return inUtc;
  const inWallTime = judged(
    sitePhase(ofStep, { stepMs, offsetMs: (day) => offsetMsAt(day * DAY_MS + DAY_MS / 2, zone) }),
  );
  return inWallTime.jumps.length < inUtc.jumps.length ? inWallTime : inUtc;
}

// Readings at any time of day fall into one place on some days by chance.
function hasGrid({ phaseMs }: ReadingTrace): boolean {
  return phaseMs.filter((phase) => !Number.isNaN(phase)).length >= LEAST_GRID_SHARE * phaseMs.length;
}

function usualStep(traces: readonly ReadingTrace[]): number | null {
  const days = new Map<number, number>();
  for (const { stepMs, day } of traces) {
    if (stepMs !== null) days.set(stepMs, (days.get(stepMs) ?? 0) + day.length);
  }
  const [most] = [...days].sort(([a, of], [b, other]) => other - of || a - b);
  return most?.[0] ?? null;
}

/** Whether a turn of the day's course is what heating and doors do that follow the wall clock over a change of it. */
function followsWallTime({ beforeDay, day, minutes }: PhaseJump, zone: TimeZone): boolean {
  for (let one = beforeDay - NEAR_DAYS; one <= day + NEAR_DAYS; one += 1) {
    const change = (offsetMsAt((one + 1) * DAY_MS, zone) - offsetMsAt(one * DAY_MS, zone)) / MINUTE_MS;
    if (change !== 0 && minutes * change < 0 && Math.abs(minutes) <= Math.abs(change) + WALL_SLACK_MIN) return true;
  }
  return false;
}

function lookedAt({
  traces,
  stepMs,
  days,
  courses,
  files,
}: {
  traces: number;
  stepMs: number | null;
  days: number;
  courses: number;
  files: number;
}): string {
  const step = stepMs === null ? "without a steady step" : `mostly read every ${lengthInWords(stepMs)}`;
  const course = courses > 0 ? `, ${countInWords(courses, "day")} with a course of the day` : "";
  return `${countInWords(traces, "detector")} ${step}: ${countInWords(days, "day")} on the grid${course}, ${countInWords(files, "import")}`;
}
