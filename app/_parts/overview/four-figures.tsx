import { Change } from "@/app/_parts/change";
import { Figure, FigureRow } from "@/app/_parts/figure";
import type { Format } from "@/app/_parts/format";
import { ratePoint, TrendLine } from "@/app/_parts/marks/trend-line";
import type { FleetView } from "@/lib/services/show-fleet";

const YEAR = 12;

/** In service, faults, false alarms against the limit, tests overdue: each with its 24 months and what it is compared with. */
export function FourFigures({ view, format }: { view: FleetView; format: Format }) {
  const { months, falseAlarmLimits: limits } = view;
  const last = months.at(-1);
  const before = months.at(-1 - YEAR);
  if (!last) return null;
  const whole = (value: number) => format.number(value);
  const tenth = (value: number) => format.number(value, { digits: 1, fixed: true });
  return (
    <FigureRow>
      <Figure
        label="Detectors in service"
        value={whole(last.detectorsInService)}
        comparison={
          <SinceYear
            now={last.detectorsInService}
            before={before?.detectorsInService ?? null}
            write={whole}
            better={null}
          />
        }
      >
        <TrendLine
          title="Detectors in service by month"
          points={months.map(({ month, detectorsInService }) => ({ month, value: detectorsInService }))}
          write={whole}
          format={format}
        />
      </Figure>
      <Figure
        label="Faults per 100 detectors a month"
        value={last.faultRate ? tenth(last.faultRate.mean) : "–"}
        interval={last.faultRate ? format.range(last.faultRate) : "nothing was observed"}
        comparison={
          <SinceYear
            now={last.faultRate?.mean ?? null}
            before={before?.faultRate?.mean ?? null}
            write={tenth}
            better="down"
          />
        }
      >
        <TrendLine
          title="Faults per 100 detectors a month"
          points={months.map((figures) => ratePoint(figures.month, figures.faultRate))}
          write={tenth}
          format={format}
        />
      </Figure>
      <Figure
        label="False alarms per 100 beam detectors a year"
        value={last.falseAlarmRate ? tenth(last.falseAlarmRate.mean) : "–"}
        interval={last.falseAlarmRate ? format.range(last.falseAlarmRate) : "nothing was observed"}
        comparison={
          <>
            <SinceYear
              now={last.falseAlarmRate?.mean ?? null}
              before={before?.falseAlarmRate?.mean ?? null}
              write={tenth}
              better="down"
            />
            <Limits limits={limits} format={format} />
          </>
        }
      >
        <TrendLine
          title="False alarms per 100 detectors a year, over the 12 months up to each month"
          points={months.map((figures) => ratePoint(figures.month, figures.falseAlarmRate))}
          limit={limits.look}
          write={tenth}
          format={format}
        />
      </Figure>
      <TestsOverdue view={view} before={before?.testsOverdue ?? null} format={format} />
    </FigureRow>
  );
}

function TestsOverdue({ view, before, format }: { view: FleetView; before: number | null; format: Format }) {
  const whole = (value: number) => format.number(value);
  return (
    <Figure
      label="Functional tests overdue"
      value={whole(view.fleet.testsOverdue)}
      comparison={<SinceYear now={view.fleet.testsOverdue} before={before} write={whole} better="down" />}
    >
      <TrendLine
        title="Functional tests overdue by month"
        points={view.months.map(({ month, testsOverdue }) => ({ month, value: testsOverdue }))}
        write={whole}
        format={format}
      />
    </Figure>
  );
}

function SinceYear({
  now,
  before,
  write,
  better,
}: {
  now: number | null;
  before: number | null;
  write: (value: number) => string;
  better: "down" | null;
}) {
  if (now === null || before === null) return <span className="text-soft">no figure of a year before</span>;
  const amount = write(Math.abs(now - before));
  return (
    <>
      {write(before)} a year before:{" "}
      <Change amount={amount} direction={amount === write(0) ? 0 : Math.sign(now - before)} better={better} />
    </>
  );
}

/** The limits are rates of all detectors of a system, so for beams alone they are a scale, not a verdict. */
function Limits({ limits, format }: { limits: FleetView["falseAlarmLimits"]; format: Format }) {
  const tenth = (value: number) => format.number(value, { digits: 1 });
  return (
    <span className="block text-soft">
      Limits count all detectors of a system: {tenth(limits.expected)} is achievable, above {tenth(limits.look)} asks
      for a look (broken line). Each site is judged by them on its own page.
    </span>
  );
}
