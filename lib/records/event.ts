import { z } from "zod";
import { idCell, momentCell, optionalCell, wordCell } from "@/lib/records/cells";
import { type MomentReading, momentOf } from "@/lib/records/moment";
import { accepted, type Outcome, refused } from "@/lib/records/outcome";
import {
  type Condition,
  conditions,
  type FaultCause,
  faultCauses,
  type Verdict,
  verdicts,
} from "@/lib/records/vocabulary";

/** A row of events.csv as it arrives. Key: detector_id, began_at and condition. */
export const eventRow = z.object({
  detector_id: idCell.describe("Id of the detector, as in detectors.csv"),
  began_at: momentCell.describe("When the condition began, ISO 8601 with offset, or wall time of the site"),
  ended_at: optionalCell(momentCell).describe("When it ended; empty while it lasts or when the panel does not say"),
  condition: wordCell(conditions).describe("Panel condition (EN 54-2, from memory)"),
  cause: optionalCell(wordCell(faultCauses)).describe("Cause of a fault as the panel gives it"),
  verdict: optionalCell(wordCell(verdicts)).describe("What a fire condition turned out to be (classes of BS 5839-1)"),
});

/** An event as the product holds it. */
export type Event = {
  readonly detectorId: string;
  readonly beganAt: number;
  readonly endedAt: number | null;
  readonly condition: Condition;
  readonly cause: FaultCause | null;
  readonly verdict: Verdict | null;
};

/** The event of a good row; refused when a time cannot be read, it ends before it begins, or cause and verdict are misplaced. */
export function toEvent(row: z.infer<typeof eventRow>, moment: MomentReading): Outcome<Event> {
  const beganAt = momentOf(row.began_at, "began_at", moment);
  if (!beganAt.ok) return beganAt;
  const endedAt = row.ended_at === null ? accepted(null) : momentOf(row.ended_at, "ended_at", moment);
  if (!endedAt.ok) return endedAt;
  if (endedAt.value !== null && endedAt.value < beganAt.value) {
    return refused({
      column: "ended_at",
      value: row.ended_at,
      reason: "is before began_at; swap or mend the two times",
    });
  }
  if (row.cause !== null && row.condition !== "fault" && row.condition !== "fire") {
    return refused({
      column: "cause",
      value: row.cause,
      reason: `belongs to a fault, not to a ${row.condition}; leave it empty`,
    });
  }
  if (row.verdict !== null && row.condition !== "fire") {
    return refused({
      column: "verdict",
      value: row.verdict,
      reason: `belongs to a fire, not to a ${row.condition}; leave it empty`,
    });
  }
  const { detector_id: detectorId, condition, cause, verdict } = row;
  return accepted({ detectorId, beganAt: beganAt.value, endedAt: endedAt.value, condition, cause, verdict });
}
