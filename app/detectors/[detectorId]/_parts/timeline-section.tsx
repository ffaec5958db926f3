import Link from "next/link";
import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import { Timeline } from "@/app/detectors/[detectorId]/_parts/timeline";
import { monthOf } from "@/lib/kernel/time";
import type { TimelineDay, TimelineSpan, TimelineView } from "@/lib/services/detector-timeline";

const spans: readonly { readonly span: TimelineSpan; readonly label: string }[] = [
  { span: "1y", label: "one year" },
  { span: "2y", label: "two years" },
  { span: "all", label: "everything" },
];

/** The timeline with the choice of its stretch, and its numbers by month folded away. */
export function TimelineSection({
  view,
  detectorId,
  format,
}: {
  view: TimelineView;
  detectorId: string;
  format: Format;
}) {
  return (
    <>
      <nav aria-label="Stretch of the timeline" className="mb-4 text-sm">
        <ul className="flex flex-wrap gap-x-4">
          <li className="text-soft" aria-hidden="true">
            Show
          </li>
          {spans.map(({ span, label }) => (
            <li key={span}>
              <Link
                href={`/detectors/${encodeURIComponent(detectorId)}?span=${span}#timeline`}
                aria-current={span === view.span ? "true" : undefined}
                className="aria-[current]:font-semibold aria-[current]:text-ink"
              >
                {label}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      <Timeline view={view} format={format} />
      <DataBehind summary="Numbers of the timeline, by month">
        <Table
          caption="Numbers of the timeline, by month"
          stacks={false}
          columns={[
            { key: "month", label: "Month" },
            { key: "signal", label: "Signal, lowest to highest, %", align: "end" },
            { key: "compensation", label: "Compensation at its end, %", align: "end" },
            { key: "events", label: "Events", align: "end" },
            { key: "work", label: "Work", align: "end" },
          ]}
          rows={monthRows(view, format)}
        />
      </DataBehind>
    </>
  );
}

function monthRows(view: TimelineView, format: Format) {
  const monthAt = (at: number) => monthOf(at, view.timeZone);
  const months = [
    ...new Set([
      ...view.days.map(({ at }) => monthAt(at)),
      ...view.events.map(({ beganAt }) => monthAt(beganAt)),
      ...view.work.map(({ doneAt }) => monthAt(doneAt)),
    ]),
  ].sort();
  return months.map((month) => {
    const days = view.days.filter(({ at }) => monthAt(at) === month);
    return {
      key: month,
      cells: [
        format.month(month),
        signalRange(days, format),
        compensationOf(days, format),
        String(view.events.filter(({ beganAt }) => monthAt(beganAt) === month).length),
        String(view.work.filter(({ doneAt }) => monthAt(doneAt) === month).length),
      ],
    };
  });
}

function signalRange(days: readonly TimelineDay[], format: Format): string {
  if (days.length === 0) return "no readings";
  const low = Math.min(...days.map(({ signal }) => signal.low));
  const high = Math.max(...days.map(({ signal }) => signal.high));
  return `${format.number(low, { digits: 1 })} to ${format.number(high, { digits: 1 })}`;
}

function compensationOf(days: readonly TimelineDay[], format: Format): string {
  const last = days.findLast(({ compensationPct }) => compensationPct !== null)?.compensationPct ?? null;
  return last === null ? "" : format.number(last, { digits: 1 });
}
