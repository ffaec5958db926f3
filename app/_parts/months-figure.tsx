import { Card } from "@/app/_parts/card";
import { MonthsBars } from "@/app/_parts/charts/months-bars";
import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { IntervalText } from "@/app/_parts/interval-text";
import { Table } from "@/app/_parts/table";
import type { MonthFigures } from "@/lib/rank/result";

/** Fault episodes, false alarms and common-cause episodes by month, drawn and as a table. */
export function MonthsFigure({
  name,
  months,
  format,
}: {
  name: string;
  months: readonly MonthFigures[];
  format: Format;
}) {
  const shown = months;
  return (
    <figure>
      <Card>
        <MonthsBars
          label={monthsWords(name, shown, format)}
          locale={format.locale}
          series={[
            { key: "Fault episodes", ink: "slate" },
            { key: "False alarms", ink: "amber" },
            { key: "Common-cause episodes of a site", ink: "stone" },
          ]}
          rows={shown.map((figures) => ({
            month: format.month(figures.month, { short: true }),
            "Fault episodes": figures.faultEpisodes,
            "False alarms": figures.falseAlarms,
            "Common-cause episodes of a site": figures.commonCauseEpisodes,
          }))}
        />
      </Card>
      <DataBehind summary={`${name} by month, the numbers`}>
        <Table
          caption={`${name} by month`}
          stacks={false}
          columns={[
            { key: "month", label: "Month" },
            { key: "service", label: "In service", align: "end" },
            { key: "faults", label: "Fault episodes", align: "end" },
            { key: "rate", label: "Faults per 100 detectors a month", align: "end" },
            { key: "alarms", label: "False alarms", align: "end" },
            { key: "cause", label: "Common cause", align: "end" },
            { key: "tests", label: "Tests overdue", align: "end" },
          ]}
          rows={[...shown].reverse().map((figures) => ({
            key: figures.month,
            cells: [
              format.month(figures.month),
              format.number(figures.detectorsInService),
              format.number(figures.faultEpisodes),
              <IntervalText key="rate" estimate={figures.faultRate} format={format} />,
              format.number(figures.falseAlarms),
              format.number(figures.commonCauseEpisodes),
              format.number(figures.testsOverdue),
            ],
          }))}
        />
      </DataBehind>
    </figure>
  );
}

function monthsWords(name: string, months: readonly MonthFigures[], format: Format): string {
  const faults = months.reduce((total, { faultEpisodes }) => total + faultEpisodes, 0);
  const alarms = months.reduce((total, { falseAlarms }) => total + falseAlarms, 0);
  return `${name}: ${format.number(faults)} fault episodes and ${format.number(alarms)} false alarms in ${months.length} months; the table below gives each month.`;
}
