import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { DriftFan } from "@/app/_parts/marks/drift-fan";
import { HoldBars } from "@/app/_parts/marks/hold-bars";
import { RateSteps } from "@/app/_parts/marks/rate-steps";
import { SeasonRose } from "@/app/_parts/marks/season-rose";
import { Table } from "@/app/_parts/table";
import { taskWords } from "@/app/_parts/words";
import { kindWords } from "@/app/detectors/_parts/words";
import type { Finding } from "@/lib/analyse/finding";
import type { Picture } from "@/lib/analyse/picture";
import type { DetectorView } from "@/lib/services/show-detector";

/** The picture that shows a finding, with its numbers folded away beneath. */
export function FindingPicture({ finding, view, format }: { finding: Finding; view: DetectorView; format: Format }) {
  const { picture, kind } = finding;
  const summary = `Numbers of the picture, ${kindWords(kind)}`;
  return (
    <>
      <Drawing picture={picture} view={view} format={format} />
      <DataBehind summary={summary}>
        <Numbers picture={picture} caption={summary} view={view} format={format} />
      </DataBehind>
    </>
  );
}

function Drawing({ picture, view, format }: { picture: Picture; view: DetectorView; format: Format }) {
  if (picture.type === "rate") return <RateSteps picture={picture} format={format} />;
  if (picture.type === "rose") return <SeasonRose picture={picture} format={format} />;
  if (picture.type === "hold") return <HoldBars picture={picture} format={format} />;
  const first = picture.points[0]?.at ?? view.timeline.asOf;
  return (
    <DriftFan
      picture={picture}
      asOf={view.timeline.asOf}
      format={format}
      work={view.work
        .filter(({ doneAt }) => doneAt >= first && doneAt < view.timeline.asOf)
        .map(({ doneAt, task }) => ({ at: doneAt, label: taskWords[task] }))}
      faults={(view.row?.result.record.faultEpisodes ?? []).filter((at) => at >= first)}
    />
  );
}

function Numbers({
  picture,
  caption,
  view,
  format,
}: {
  picture: Picture;
  caption: string;
  view: DetectorView;
  format: Format;
}) {
  const number = (value: number | null) => (value === null ? "cannot say" : format.number(value, { digits: 1 }));
  const table = (labels: readonly string[], rows: readonly (readonly string[])[]) => (
    <Table
      caption={caption}
      stacks={false}
      columns={labels.map((label, index) => ({ key: label, label, align: index === 0 ? "start" : "end" }))}
      rows={rows.map((cells, index) => ({ key: String(index), cells }))}
    />
  );
  if (picture.type === "rate") {
    return table(
      ["Month", "Fault episodes", "Days observed"],
      picture.months.map(({ month, episodes, exposureDays }) => [
        format.month(month),
        String(episodes),
        number(exposureDays),
      ]),
    );
  }
  if (picture.type === "rose") {
    return table(
      [picture.circle === "year" ? "Part of the year" : "Part of the day", "Alarms", "Days observed", "Per 100 days"],
      picture.bins.map(({ events, exposureDays, rate }, index) => [
        picture.circle === "year" && picture.bins.length === 12
          ? format.monthOfYear(index + 1)
          : `${index + 1} of ${picture.bins.length}`,
        String(events),
        number(exposureDays),
        number(rate),
      ]),
    );
  }
  if (picture.type === "hold") {
    return table(
      ["Aligned on", "Days held", "Ended"],
      picture.holds.map(({ from, days, ending }) => [format.day(from), number(days), ending]),
    );
  }
  return table(
    ["Week", "Median", "Low", "High"],
    [
      ...picture.points.map(({ at, pct }) => [format.dayOf(at, view.site.timeZone), `${number(pct)} %`, "", ""]),
      ...picture.forecast.map(({ at, pct, low, high }) => [
        `${format.dayOf(at, view.site.timeZone)}, forecast`,
        `${number(pct)} %`,
        `${number(low)} %`,
        `${number(high)} %`,
      ]),
    ],
  );
}
