import type { Format } from "@/app/_parts/format";
import { across, anchorAt, Label, Mark, STRETCH_WIDTH, Stretch } from "@/app/_parts/marks/mark";
import type { Calibration, CalibrationGroup } from "@/lib/rank/backtest/backtest-result";

const PLOT = 240;
const TOP = 34;
const AXIS = 40;
const HUNDRED = 100;

type Dot = { readonly group: number; readonly predicted: number; readonly came: number; low: number; high: number };

/** Each tenth as a dot: predicted across, come upwards, both per 100 detectors and horizon; on the line they are equal. */
export function CalibrationPlot({
  title,
  calibration,
  format,
}: {
  title: string;
  calibration: Calibration;
  format: Format;
}) {
  const dots = calibration.groups.flatMap(dotOf);
  const most = Math.max(1e-6, ...dots.flatMap(({ predicted, came, high }) => [predicted, came, high])) * 1.04;
  // Most detectors expect next to nothing: a square root spreads them without hiding nought.
  const place = (value: number) => Math.sqrt(Math.max(0, value) / most);
  const y = (value: number) => TOP + PLOT * (1 - place(value));
  const ticks = [0, ...new Set([0.04, 0.25, 1].map((part) => roundBelow(part * most)))];
  return (
    <Mark title={title} description={plotWords(dots, format)} heightPx={TOP + PLOT + AXIS}>
      {ticks.map((tick) => (
        <g key={tick}>
          <line x1="0" x2="100%" y1={y(tick)} y2={y(tick)} stroke="var(--rule)" />
          {tick === 0 ? null : (
            <Label x="0" y={y(tick) - 4}>
              {format.number(tick, { digits: 3 })}
            </Label>
          )}
          <Label x={across(place(tick))} y={TOP + PLOT + 16} anchor={anchorAt(place(tick))}>
            {format.number(tick, { digits: 3 })}
          </Label>
        </g>
      ))}
      <Label x="0" y={11}>
        came, per 100 detectors
      </Label>
      <Label x="100%" y={TOP + PLOT + 34} anchor="end">
        predicted, per 100 detectors
      </Label>
      <Stretch heightPx={PLOT} y={TOP}>
        <line
          x1="0"
          y1={PLOT}
          x2={STRETCH_WIDTH}
          y2="0"
          stroke="var(--accent)"
          strokeDasharray="5 4"
          vectorEffect="non-scaling-stroke"
        />
      </Stretch>
      {dots.map(({ group, predicted, came, low, high }) => (
        <g key={group}>
          <line
            x1={across(place(predicted))}
            x2={across(place(predicted))}
            y1={y(low)}
            y2={y(high)}
            stroke="var(--soft)"
            strokeWidth="2"
          />
          <circle cx={across(place(predicted))} cy={y(came)} r="4.5" fill="var(--ink)" />
        </g>
      ))}
    </Mark>
  );
}

function dotOf({ group, forecasts, predicted, realised, ratio }: CalibrationGroup): Dot[] {
  if (forecasts === 0 || ratio === null) return [];
  const mean = (HUNDRED * predicted) / forecasts;
  return [
    { group, predicted: mean, came: (HUNDRED * realised) / forecasts, low: ratio.low * mean, high: ratio.high * mean },
  ];
}

/** The largest of 1, 2 and 5 times a power of ten that is not above a value over 0, so that an axis bears round numbers. */
function roundBelow(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  const first = [5, 2, 1].find((one) => one * power <= value * (1 + 1e-9)) ?? 1;
  return Number((first * power).toPrecision(1));
}

function plotWords(dots: readonly Dot[], format: Format): string {
  const one = (value: number) => format.number(value, { digits: 1, fixed: true });
  const each = dots.map(
    ({ group, predicted, came }) => `tenth ${group}: ${one(predicted)} predicted, ${one(came)} came`,
  );
  return `Events per 100 detectors and horizon. ${each.join("; ")}.`;
}
