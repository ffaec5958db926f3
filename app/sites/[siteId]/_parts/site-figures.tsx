import { Figure, FigureRow } from "@/app/_parts/figure";
import type { Format } from "@/app/_parts/format";
import { ratePoint, TrendLine } from "@/app/_parts/marks/trend-line";
import { silence } from "@/app/_parts/overview/freshness";
import { counted } from "@/app/_parts/words";
import type { SiteView } from "@/lib/services/show-site";

/** Rates of the site, tests overdue and freshness, each with what it is compared with. */
export function SiteFigures({ view, format }: { view: SiteView; format: Format }) {
  const { result, site, silentDays } = view;
  const tenth = (value: number) => format.number(value, { digits: 1, fixed: true });
  const whole = (value: number) => format.number(value);
  const met = result.limits.filter((limit) => limit.met).length;
  return (
    <FigureRow>
      <Figure
        label="Faults per 100 detectors a year"
        value={result.faultRate ? tenth(result.faultRate.mean) : "–"}
        interval={result.faultRate ? format.range(result.faultRate) : "nothing was observed"}
        comparison={`${counted(result.faults12m, "episode", { write: whole })} in 12 months`}
      >
        <TrendLine
          title="Faults per 100 detectors a month at this site"
          points={result.months.map(({ month, faultRate }) => ratePoint(month, faultRate))}
          write={tenth}
          format={format}
        />
      </Figure>
      <Figure
        label="False alarms per 100 detectors a year"
        value={result.falseAlarmRate ? tenth(result.falseAlarmRate.mean) : "–"}
        interval={result.falseAlarmRate ? format.range(result.falseAlarmRate) : "nothing was observed"}
        comparison={
          met > 0
            ? `${counted(met, "limit")} reached of ${result.limits.length}, see below`
            : `${counted(result.falseAlarms12m, "false alarm", { write: whole })} in 12 months; no limit reached`
        }
      >
        <TrendLine
          title="False alarms per 100 detectors a year at this site"
          points={result.months.map(({ month, falseAlarmRate }) => ratePoint(month, falseAlarmRate))}
          write={tenth}
          format={format}
        />
      </Figure>
      <Figure
        label="Functional tests overdue"
        value={whole(result.testsOverdue)}
        comparison={`of ${counted(result.detectors, "detector", { write: whole })}; the aim is none`}
      >
        <TrendLine
          title="Functional tests overdue by month at this site"
          points={result.months.map(({ month, testsOverdue }) => ({ month, value: testsOverdue }))}
          write={whole}
          format={format}
        />
      </Figure>
      <Figure
        label="Observed in the last 12 months"
        value={result.completeness === null ? "–" : format.share(result.completeness)}
        interval="of detector-days in service"
        comparison={
          result.lastRecordAt === null
            ? "This site never sent a record."
            : `Last record ${format.moment(result.lastRecordAt, site.timeZone)}; silent for ${silence(silentDays, format)} at the as-of moment.`
        }
      />
    </FigureRow>
  );
}
