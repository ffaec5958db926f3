"use client";

import { BarChart } from "@tremor/react";

/** A series of the chart: its key in the data, its words, and one of the chart inks. */
export type MonthsSeries = { readonly key: string; readonly ink: MonthsInk };

/** Inks a series may have, by the names the chart library knows; the tokens give them our colours. */
export type MonthsInk = "slate" | "stone" | "amber";

const swatches: Readonly<Record<MonthsInk, string>> = {
  slate: "var(--bar)",
  stone: "var(--faint)",
  amber: "var(--cost-3)",
};

/** Stacked columns by month with a legend of our own; the words and numbers stand beside it on the page. */
export function MonthsBars({
  label,
  rows,
  series,
  locale,
}: {
  label: string;
  rows: readonly Readonly<Record<string, string | number>>[];
  series: readonly MonthsSeries[];
  locale: string;
}) {
  const number = new Intl.NumberFormat(locale, { maximumFractionDigits: 1 });
  return (
    <div>
      <ul className="mb-2 flex flex-wrap gap-x-5 gap-y-1 text-sm text-soft">
        {series.map(({ key, ink }) => (
          <li key={key} className="flex items-center gap-2">
            <span aria-hidden="true" className="size-3" style={{ background: swatches[ink] }} />
            {key}
          </li>
        ))}
      </ul>
      <div role="img" aria-label={label}>
        <BarChart
          className="h-56"
          data={[...rows]}
          index="month"
          categories={series.map(({ key }) => key)}
          colors={series.map(({ ink }) => ink)}
          valueFormatter={(value: number) => number.format(value)}
          showLegend={false}
          showAnimation={false}
          stack
          allowDecimals={false}
          yAxisWidth={40}
        />
      </div>
    </div>
  );
}
