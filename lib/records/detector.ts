import { z } from "zod";
import { dateCell, idCell, numberCell, optionalCell, textCell, wordCell } from "@/lib/records/cells";
import { accepted, type Outcome } from "@/lib/records/outcome";
import { type Access, accessKinds, type Form, forms } from "@/lib/records/vocabulary";

/** A row of detectors.csv as it arrives. Key: detector_id. */
export const detectorRow = z.object({
  detector_id: idCell.describe("Your id of the detector, unique over all sites"),
  site_id: idCell.describe("Id of its site, as in sites.csv"),
  label: textCell.describe("What people on site call it"),
  form: wordCell(forms).describe("reflective: head and reflector; end_to_end: transmitter and receiver"),
  path_length_m: numberCell({ min: 0.5, max: 500, unit: "m" }).describe("Separation of the two ends in metres"),
  height_m: numberCell({ min: 0, max: 100, unit: "m" }).describe("Height of the beam above the floor in metres"),
  bearing_deg: numberCell({ min: 0, max: 360, unit: "degrees" }).describe(
    "Compass direction from the head along the beam, degrees clockwise from true north",
  ),
  installed_on: dateCell.describe("Day it was put in service"),
  alarm_threshold_pct: numberCell({ min: 1, max: 99, unit: "%" }).describe(
    "Obscuration at which it gives a fire signal, %",
  ),
  access: wordCell(accessKinds).describe("How it is reached"),
  zone: optionalCell(textCell).describe("Zone of the fire alarm system"),
  environment: optionalCell(textCell).describe("What the hall holds, in a few words"),
  last_service_on: optionalCell(dateCell).describe("Day of the last service known when the row was written"),
});

/** A detector as the product holds it. */
export type Detector = {
  readonly detectorId: string;
  readonly siteId: string;
  readonly label: string;
  readonly form: Form;
  readonly pathLengthM: number;
  readonly heightM: number;
  readonly bearingDeg: number;
  readonly installedOn: string;
  readonly alarmThresholdPct: number;
  readonly access: Access;
  readonly zone: string | null;
  readonly environment: string | null;
  readonly lastServiceOn: string | null;
};

/** The detector of a good row; never refused, as every rule of a detector stands in its columns. */
export function toDetector(row: z.infer<typeof detectorRow>): Outcome<Detector> {
  return accepted({
    detectorId: row.detector_id,
    siteId: row.site_id,
    label: row.label,
    form: row.form,
    pathLengthM: row.path_length_m,
    heightM: row.height_m,
    bearingDeg: row.bearing_deg % 360,
    installedOn: row.installed_on,
    alarmThresholdPct: row.alarm_threshold_pct,
    access: row.access,
    zone: row.zone,
    environment: row.environment,
    lastServiceOn: row.last_service_on,
  });
}
