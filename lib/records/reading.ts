import { z } from "zod";
import { idCell, momentCell, numberCell, optionalCell } from "@/lib/records/cells";
import { type MomentReading, momentOf } from "@/lib/records/moment";
import { accepted, type Outcome } from "@/lib/records/outcome";

/** A row of readings.csv as it arrives. Key: detector_id and read_at. */
export const readingRow = z.object({
  detector_id: idCell.describe("Id of the detector, as in detectors.csv"),
  read_at: momentCell.describe("Moment of the reading, ISO 8601 with offset, or wall time of the site"),
  signal_pct: numberCell({ min: 0, max: 400, unit: "%" }).describe(
    "Received signal in percent of the level stored at the last commissioning or realignment",
  ),
  compensation_pct: optionalCell(numberCell({ min: 0, max: 100, unit: "%" })).describe(
    "Share of the drift-compensation range already used",
  ),
  temperature_c: optionalCell(numberCell({ min: -60, max: 100, unit: "degrees C" })).describe(
    "Air temperature at the detector in degrees Celsius",
  ),
});

/** A reading as the product holds it. */
export type Reading = {
  readonly detectorId: string;
  readonly readAt: number;
  readonly signalPct: number;
  readonly compensationPct: number | null;
  readonly temperatureC: number | null;
};

/** Readings of one detector as columns of equal length, oldest first; NaN marks an absent compensation or temperature. */
export type ReadingSeries = {
  readonly readAt: Float64Array;
  readonly signalPct: Float64Array;
  readonly compensationPct: Float64Array;
  readonly temperatureC: Float64Array;
};

/** The reading of a good row; refused when its time cannot be read in the site's zone. */
export function toReading(row: z.infer<typeof readingRow>, moment: MomentReading): Outcome<Reading> {
  const readAt = momentOf(row.read_at, "read_at", moment);
  if (!readAt.ok) return readAt;
  return accepted({
    detectorId: row.detector_id,
    readAt: readAt.value,
    signalPct: row.signal_pct,
    compensationPct: row.compensation_pct,
    temperatureC: row.temperature_c,
  });
}

/** A series without readings. */
export function emptySeries(): ReadingSeries {
  const none = () => new Float64Array(0);
  return { readAt: none(), signalPct: none(), compensationPct: none(), temperatureC: none() };
}
