import Link from "next/link";
import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import type { FleetSiteView } from "@/lib/services/show-fleet";

const SILENT_DAYS = 2;
const GOOD_COMPLETENESS = 0.9;

/** How fresh and how complete each site's records are; the ones behind stand in front, all are in the table. */
export function Freshness({ sites, format }: { sites: readonly FleetSiteView[]; format: Format }) {
  const behind = sites.filter(isBehind).sort((a, b) => (b.silentDays ?? Infinity) - (a.silentDays ?? Infinity));
  return (
    <>
      <p className="mb-4 max-w-[64ch] font-serif">{sentenceOf(sites.length, behind.length)}</p>
      {behind.length > 0 ? <FreshnessTable name="Sites behind" sites={behind.slice(0, 12)} format={format} /> : null}
      <DataBehind summary="Freshness of every site">
        <FreshnessTable name="Freshness of every site" sites={sites} format={format} />
      </DataBehind>
    </>
  );
}

function sentenceOf(all: number, behind: number): string {
  if (behind === 0)
    return `All ${all} sites sent records in the last ${SILENT_DAYS} days and are at least 90 % complete.`;
  const are = behind === 1 ? "is" : "are";
  return `${behind} of ${all} sites ${are} silent for more than ${SILENT_DAYS} days or less than 90 % complete; what is said of them rests on less.`;
}

function FreshnessTable({ name, sites, format }: { name: string; sites: readonly FleetSiteView[]; format: Format }) {
  return (
    <Table
      caption={name}
      columns={[
        { key: "site", label: "Site" },
        { key: "last", label: "Last record" },
        { key: "silent", label: "Silent for", align: "end" },
        { key: "complete", label: "Observed, last 12 months", align: "end" },
      ]}
      rows={sites.map((site) => ({
        key: site.siteId,
        cells: [
          <Link key="site" href={`/sites/${encodeURIComponent(site.siteId)}`}>
            {site.name}
          </Link>,
          site.lastRecordAt === null ? "none" : format.moment(site.lastRecordAt, site.timeZone),
          silence(site.silentDays, format),
          site.completeness === null ? "cannot say" : format.share(site.completeness),
        ],
      }))}
    />
  );
}

/** How long a site has been silent, in words. */
export function silence(silentDays: number | null, format: Format): string {
  if (silentDays === null) return "always";
  if (silentDays < 1) return "under a day";
  const days = Math.floor(silentDays);
  return days === 1 ? "1 day" : `${format.number(days)} days`;
}

function isBehind({ silentDays, completeness }: FleetSiteView): boolean {
  return silentDays === null || silentDays > SILENT_DAYS || completeness === null || completeness < GOOD_COMPLETENESS;
}
