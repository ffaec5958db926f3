import type { Format } from "@/app/_parts/format";
import { Section } from "@/app/_parts/section";
import { Table } from "@/app/_parts/table";
import type { FollowedCount } from "@/lib/rank/backtest/backtest-result";
import type { ReadyProof } from "@/lib/services/show-proof";

const DAYS_A_YEAR = 365.25;

/** What followed at the detectors that were listed, beside all others. */
export function FollowedSection({ view, format }: { view: ReadyProof; format: Format }) {
  return (
    <Section
      id="followed"
      title="What followed the findings"
      note="Events per observed detector and year in the days after each ranking: own unwanted alarms after seasonal alarms, own faults after the other kinds. A season listed in winter may well be quiet in the next weeks."
    >
      <Table
        caption="Events after a finding and without one"
        columns={[
          { key: "kind", label: "Finding" },
          { key: "listed", label: "Listed", note: "detectors, over all months", align: "end" },
          { key: "rate", label: "A year after", note: "where listed", align: "end" },
          { key: "others", label: "A year", note: "at the others", align: "end" },
          { key: "times", label: "Times as many", align: "end" },
        ]}
        rows={view.result.findings.map(({ kind, counts, listed, others }) => ({
          key: kind,
          cells: [
            <span key="kind">
              {kind.replaceAll("_", " ")}
              <span className="block text-xs font-normal text-soft">
                {counts === "faults" ? "counts faults" : "counts unwanted alarms"}
              </span>
            </span>,
            format.number(listed.detectors),
            <Rate key="listed" count={listed} format={format} />,
            <Rate key="others" count={others} format={format} />,
            timesText({ listed, others, format }),
          ],
        }))}
      />
    </Section>
  );
}

function Rate({ count, format }: { count: FollowedCount; format: Format }) {
  const rate = rateOf(count);
  if (rate === null) return <span className="text-soft">cannot say</span>;
  return (
    <span>
      {format.number(rate, { digits: 2, fixed: true })}
      <span className="block text-xs text-soft">{format.number(count.events)} counted</span>
    </span>
  );
}

function rateOf({ days, events }: FollowedCount): number | null {
  return days > 0 ? (events / days) * DAYS_A_YEAR : null;
}

function timesText({
  listed,
  others,
  format,
}: {
  listed: FollowedCount;
  others: FollowedCount;
  format: Format;
}): string {
  const [after, without] = [rateOf(listed), rateOf(others)];
  if (after === null || without === null || without === 0) return "cannot say";
  return format.number(after / without, { digits: 1, fixed: true });
}
