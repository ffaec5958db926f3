import { z } from "zod";
import { clockCell, currencyCell, idCell, numberCell, optionalCell, textCell, zoneCell } from "@/lib/records/cells";
import { accepted, type Outcome } from "@/lib/records/outcome";

/** A row of sites.csv as it arrives. Key: site_id. */
export const siteRow = z.object({
  site_id: idCell.describe("Your id of the site, unique in the portfolio"),
  name: textCell.describe("Name people use"),
  latitude: numberCell({ min: -90, max: 90, unit: "degrees" }).describe("Degrees north, WGS 84"),
  longitude: numberCell({ min: -180, max: 180, unit: "degrees" }).describe("Degrees east, WGS 84"),
  time_zone: zoneCell.describe("IANA time zone; wall times of the site's other files are read in it"),
  portfolio: optionalCell(textCell).describe("Name of the portfolio the site belongs to"),
  currency: optionalCell(currencyCell).describe("ISO 4217 code"),
  opens: optionalCell(clockCell).describe("Earliest time of day for a visit, HH:MM local"),
  closes: optionalCell(clockCell).describe("Latest time of day for a visit, HH:MM local"),
  detectors_on_system: optionalCell(numberCell({ min: 1, max: 1_000_000, unit: "detectors", integer: true })).describe(
    "All automatic detectors of the site's fire alarm system, not only beams; false-alarm limits are rates of these",
  ),
});

/** A site as the product holds it. */
export type Site = {
  readonly siteId: string;
  readonly name: string;
  readonly latitude: number;
  readonly longitude: number;
  readonly timeZone: string;
  readonly portfolio: string | null;
  readonly currency: string | null;
  readonly opens: string | null;
  readonly closes: string | null;
  readonly detectorsOnSystem: number | null;
};

/** The site of a good row; never refused, as every rule of a site stands in its columns. */
export function toSite(row: z.infer<typeof siteRow>): Outcome<Site> {
  return accepted({
    siteId: row.site_id,
    name: row.name,
    latitude: row.latitude,
    longitude: row.longitude,
    timeZone: row.time_zone,
    portfolio: row.portfolio,
    currency: row.currency,
    opens: row.opens,
    closes: row.closes,
    detectorsOnSystem: row.detectors_on_system,
  });
}
