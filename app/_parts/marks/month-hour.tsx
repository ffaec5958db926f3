import { DataBehind } from "@/app/_parts/data-behind";
import type { Format } from "@/app/_parts/format";
import { Columns } from "@/app/_parts/marks/columns";
import { Table } from "@/app/_parts/table";

/** False alarms by month of the year, adjusted for exposure, and by hour of the day in each site's own time. */
export type MonthHourData = {
  /** Month 1..12; rate is false alarms per 100 detectors and month, null without exposure. */
  readonly byMonth: readonly { readonly month: number; readonly alarms: number; readonly rate: number | null }[];
  readonly byHour: readonly { readonly hour: number; readonly alarms: number }[];
};

/** False alarms by month of the year and by hour of the day, side by side. */
export function MonthHour({ data, format }: { data: MonthHourData; format: Format }) {
  const { byMonth, byHour } = data;
  const rate = (value: number) => format.number(value, { digits: 2 });
  const worstMonth = byMonth.reduce((most, one) => ((one.rate ?? 0) > (most?.rate ?? 0) ? one : most), byMonth[0]);
  const worstHour = byHour.reduce((most, one) => (one.alarms > (most?.alarms ?? 0) ? one : most), byHour[0]);
  return (
    <div className="grid gap-x-10 gap-y-8 md:grid-cols-2">
      <figure className="min-w-0">
        <figcaption className="mb-2 text-sm">
          By month of the year <span className="text-soft">per 100 detectors observed a month</span>
        </figcaption>
        <Columns
          title="False alarms by month of the year"
          description={
            worstMonth ? `Most in ${format.monthOfYear(worstMonth.month)}: ${rate(worstMonth.rate ?? 0)}.` : "None."
          }
          columns={byMonth.map(({ month, rate: value }) => ({
            key: String(month),
            value,
            name: format.monthOfYear(month, { narrow: true }),
          }))}
          write={rate}
        />
        <DataBehind summary="False alarms by month, the numbers">
          <Table
            caption="False alarms by month of the year"
            stacks={false}
            columns={[
              { key: "month", label: "Month" },
              { key: "alarms", label: "False alarms", align: "end" },
              { key: "rate", label: "Per 100 detectors a month", align: "end" },
            ]}
            rows={byMonth.map(({ month, alarms, rate: value }) => ({
              key: String(month),
              cells: [format.monthOfYear(month), format.number(alarms), value === null ? "cannot say" : rate(value)],
            }))}
          />
        </DataBehind>
      </figure>
      <figure className="min-w-0">
        <figcaption className="mb-2 text-sm">
          By hour of the day <span className="text-soft">count, in each site’s own time</span>
        </figcaption>
        <Columns
          title="False alarms by hour of the day"
          description={worstHour ? `Most from ${worstHour.hour}:00: ${format.number(worstHour.alarms)}.` : "None."}
          columns={byHour.map(({ hour, alarms }) => ({
            key: String(hour),
            value: alarms,
            name: hour % 6 === 0 ? String(hour) : null,
          }))}
          write={(value) => format.number(value)}
        />
        <DataBehind summary="False alarms by hour, the numbers">
          <Table
            caption="False alarms by hour of the day"
            stacks={false}
            columns={[
              { key: "hour", label: "From" },
              { key: "alarms", label: "False alarms", align: "end" },
            ]}
            rows={byHour.map(({ hour, alarms }) => ({
              key: String(hour),
              cells: [`${String(hour).padStart(2, "0")}:00`, format.number(alarms)],
            }))}
          />
        </DataBehind>
      </figure>
    </div>
  );
}
