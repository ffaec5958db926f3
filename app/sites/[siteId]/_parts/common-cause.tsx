import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import { causeInWords } from "@/app/_parts/words";
import { MINUTE_MS } from "@/lib/kernel/units";
import type { SiteEpisode } from "@/lib/rank/result";

/** Common-cause episodes of the site, latest first. */
export function CommonCause({
  episodes,
  timeZone,
  format,
}: {
  episodes: readonly SiteEpisode[];
  timeZone: string;
  format: Format;
}) {
  if (episodes.length === 0) return <p className="font-serif">None on record.</p>;
  return (
    <Table
      caption="Common-cause episodes"
      columns={[
        { key: "began", label: "Began" },
        { key: "lasted", label: "Lasted", align: "end" },
        { key: "cause", label: "Cause" },
        { key: "detectors", label: "Detectors", align: "end" },
      ]}
      rows={[...episodes]
        .sort((a, b) => b.beganAt - a.beganAt)
        .map(({ beganAt, endedAt, cause, detectors }, index) => ({
          key: `${beganAt}-${index}`,
          cells: [
            format.moment(beganAt, timeZone),
            endedAt === null ? "end unknown" : lasted(endedAt - beganAt, format),
            causeInWords(cause),
            format.number(detectors),
          ],
        }))}
    />
  );
}

function lasted(ms: number, format: Format): string {
  const minutes = Math.max(1, Math.round(ms / MINUTE_MS));
  if (minutes < 120) return `${format.number(minutes)} min`;
  const hours = minutes / 60;
  return hours < 48 ? `${format.number(hours, { digits: 1 })} h` : `${format.number(hours / 24, { digits: 1 })} days`;
}
