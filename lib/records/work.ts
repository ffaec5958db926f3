import { z } from "zod";
import { booleanCell, idCell, momentCell, numberCell, optionalCell, textCell, wordCell } from "@/lib/records/cells";
import { type MomentReading, momentOf } from "@/lib/records/moment";
import { accepted, type Outcome } from "@/lib/records/outcome";
import { type Task, type TaskResult, taskResults, tasks } from "@/lib/records/vocabulary";

const signalCell = numberCell({ min: 0, max: 400, unit: "%" });

/** A row of work.csv as it arrives. Key: detector_id, done_at and task. */
export const workRow = z.object({
  detector_id: idCell.describe("Id of the detector, as in detectors.csv"),
  done_at: momentCell.describe("When the task was finished, ISO 8601 with offset, or wall time of the site"),
  task: wordCell(tasks).describe("What was done"),
  result: optionalCell(wordCell(taskResults)).describe("Outcome of a test"),
  signal_before_pct: optionalCell(signalCell).describe("Signal as found, %"),
  signal_after_pct: optionalCell(signalCell).describe("Signal as left, %"),
  minutes: optionalCell(numberCell({ min: 0, max: 10_080, unit: "minutes" })).describe("Minutes the task took"),
  reactive: optionalCell(booleanCell).describe("true for a call-out after a fault or false alarm"),
  told: optionalCell(textCell).describe("Who was told of the work"),
  interim: optionalCell(textCell).describe("Interim measure while the detector was out of service"),
  note: optionalCell(textCell).describe("Anything else worth keeping"),
});

/** A work record as the product holds it. */
export type Work = {
  readonly detectorId: string;
  readonly doneAt: number;
  readonly task: Task;
  readonly result: TaskResult | null;
  readonly signalBeforePct: number | null;
  readonly signalAfterPct: number | null;
  readonly durationMin: number | null;
  readonly reactive: boolean | null;
  readonly told: string | null;
  readonly interim: string | null;
  readonly note: string | null;
};

/** The work record of a good row; refused when its time cannot be read in the site's zone. */
export function toWork(row: z.infer<typeof workRow>, moment: MomentReading): Outcome<Work> {
  const doneAt = momentOf(row.done_at, "done_at", moment);
  if (!doneAt.ok) return doneAt;
  return accepted({
    detectorId: row.detector_id,
    doneAt: doneAt.value,
    task: row.task,
    result: row.result,
    signalBeforePct: row.signal_before_pct,
    signalAfterPct: row.signal_after_pct,
    durationMin: row.minutes,
    reactive: row.reactive,
    told: row.told,
    interim: row.interim,
    note: row.note,
  });
}
