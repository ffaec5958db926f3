import type { Format } from "@/app/_parts/format";
import { Table } from "@/app/_parts/table";
import type { CaptureMethod, MonthCount, OriginResult } from "@/lib/rank/backtest/backtest-result";

/** Past rankings and what followed, newest first; `place` is that of the share of detectors in the lists of shares held. */
export function MonthsTable({
  origins,
  place,
  format,
}: {
  origins: readonly OriginResult[];
  place: number;
  format: Format;
}) {
  const held = (origin: OriginResult, method: CaptureMethod) => {
    const share = origin.held[method][place] ?? null;
    return share === null ? "cannot say" : format.share(share);
  };
  return (
    <Table
      caption="Past rankings and what followed"
      stacks={false}
      columns={[
        { key: "month", label: "Ranked" },
        { key: "cost", label: "Cost that followed", align: "end" },
        { key: "ours", label: "Ranking held", align: "end" },
        { key: "faults", label: "Most faults held", align: "end" },
        { key: "perfect", label: "Foresight held", align: "end" },
        { key: "faultcount", label: "Faults", note: "predicted, came", align: "end" },
        { key: "alarmcount", label: "Unwanted alarms", note: "predicted, came", align: "end" },
        { key: "visited", label: "Visited", note: "of all", align: "end" },
      ]}
      rows={[...origins].reverse().map((origin) => ({
        key: String(origin.asOf),
        cells: [
          format.dayOf(origin.asOf, "UTC"),
          format.money(origin.realisedCost),
          held(origin, "avoided_cost"),
          held(origin, "faults_12m"),
          held(origin, "perfect"),
          countsOf(origin.counts.faults, format),
          countsOf(origin.counts.alarms, format),
          `${format.number(origin.visited)} of ${format.number(origin.detectors)}`,
        ],
      }))}
    />
  );
}

function countsOf({ predicted, realised }: MonthCount, format: Format): string {
  return `${format.number(predicted, { digits: 1, fixed: true })}, ${format.number(realised)}`;
}
