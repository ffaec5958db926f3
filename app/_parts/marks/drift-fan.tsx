import type { Format } from "@/app/_parts/format";
import { across, anchorAt, Label, Mark, STRETCH_WIDTH, Stretch } from "@/app/_parts/marks/mark";
import { PictureFrame } from "@/app/_parts/marks/picture-frame";
import { bandOf, pathOf, plotScaleOf } from "@/app/_parts/marks/plot-scale";
import { timeScaleOf } from "@/app/_parts/marks/time-scale";
import type { DriftPicture } from "@/lib/analyse/picture";

const PLOT = 220;
const TOP = 18;
const AXIS = 44;

/** Something that happened, drawn on the time axis. */
export type TimeMark = { readonly at: number; readonly label: string };

/** Weekly signal or compensation with its robust line, the limit, and the widening forecast; work and faults on the axis. */
export function DriftFan({
  picture,
  asOf,
  format,
  work = [],
  faults = [],
}: {
  picture: DriftPicture;
  asOf: number;
  format: Format;
  work?: readonly TimeMark[];
  faults?: readonly number[];
}) {
  const { points, forecast, limitPct } = picture;
  const times = [...points, ...forecast].map(({ at }) => at);
  const from = Math.min(...times, asOf);
  const until = Math.max(...times, asOf);
  const time = timeScaleOf({ from, until });
  const values = [...points.map(({ pct }) => pct), ...forecast.flatMap(({ low, high }) => [low, high]), limitPct];
  const { y, ticks } = plotScaleOf(values, { heightPx: PLOT, fromZero: false, tickCount: 4 });
  const x = (at: number) => time.fraction(at) * STRETCH_WIDTH;
  const inside = (at: number) => at >= from && at <= until;
  return (
    <PictureFrame picture={picture}>
      <Mark title={titleOf(picture)} description={driftWords(picture, format)} heightPx={TOP + PLOT + AXIS}>
        {ticks.map((tick) => (
          <g key={tick}>
            <line x1="0" x2="100%" y1={TOP + y(tick)} y2={TOP + y(tick)} stroke="var(--rule)" />
            <Label x="0" y={TOP + y(tick) - 4}>{`${format.number(tick)} %`}</Label>
          </g>
        ))}
        <Lines picture={picture} x={x} y={y} />
        {points.map(({ at, pct }) => (
          <circle key={at} cx={across(time.fraction(at))} cy={TOP + y(pct)} r="1.75" fill="var(--soft)" />
        ))}
        <Limit y={TOP + y(limitPct)} text={`limit ${format.number(limitPct)} %`} />
        <AsOf fraction={time.fraction(asOf)} />
        <Axis time={time} format={format} />
        {faults.filter(inside).map((at) => (
          <line
            key={at}
            x1={across(time.fraction(at))}
            x2={across(time.fraction(at))}
            y1={TOP + PLOT}
            y2={TOP + PLOT + 9}
            stroke="var(--worse)"
            strokeWidth="2"
          />
        ))}
        {work
          .filter(({ at }) => inside(at))
          .map(({ at, label }) => (
            <WorkMark key={`${at}${label}`} fraction={time.fraction(at)} label={label} />
          ))}
      </Mark>
    </PictureFrame>
  );
}

function Lines({
  picture: { lines, forecast },
  x,
  y,
}: {
  picture: DriftPicture;
  x: (at: number) => number;
  y: (pct: number) => number;
}) {
  return (
    <Stretch heightPx={PLOT} y={TOP}>
      <path
        d={bandOf(forecast.map(({ at, low, high }) => ({ x: x(at), low: y(low), high: y(high) })))}
        fill="var(--accent-wash)"
        stroke="none"
      />
      {lines.map((line) => (
        <path
          key={line[0]?.at ?? 0}
          d={pathOf(line.map(({ at, pct }) => ({ x: x(at), y: y(pct) })))}
          fill="none"
          stroke="var(--ink)"
          strokeWidth="1.75"
          vectorEffect="non-scaling-stroke"
        />
      ))}
      <path
        d={pathOf(forecast.map(({ at, pct }) => ({ x: x(at), y: y(pct) })))}
        fill="none"
        stroke="var(--accent)"
        strokeWidth="1.75"
        strokeDasharray="6 4"
        vectorEffect="non-scaling-stroke"
      />
    </Stretch>
  );
}

function Limit({ y, text }: { y: number; text: string }) {
  return (
    <>
      <line x1="0" x2="100%" y1={y} y2={y} stroke="var(--worse)" strokeWidth="1.5" strokeDasharray="5 4" />
      <Label x="100%" y={y - 5} anchor="end" strong>
        {text}
      </Label>
    </>
  );
}

function AsOf({ fraction }: { fraction: number }) {
  return (
    <>
      <line x1={across(fraction)} x2={across(fraction)} y1={TOP - 4} y2={TOP + PLOT} stroke="var(--faint)" />
      <Label x={across(fraction)} y={10} anchor={anchorAt(fraction)}>
        as of
      </Label>
    </>
  );
}

function Axis({ time, format }: { time: ReturnType<typeof timeScaleOf>; format: Format }) {
  return (
    <>
      <line x1="0" x2="100%" y1={TOP + PLOT} y2={TOP + PLOT} stroke="var(--ink)" />
      {time.ticks.map((tick) => {
        const fraction = time.fraction(tick);
        return (
          <Label key={tick} x={across(fraction)} y={TOP + PLOT + 26} anchor={anchorAt(fraction)}>
            {format.month(new Date(tick).toISOString().slice(0, 7), { short: true })}
          </Label>
        );
      })}
    </>
  );
}

function WorkMark({ fraction, label }: { fraction: number; label: string }) {
  return (
    <svg x={across(fraction)} y={TOP + PLOT} overflow="visible" aria-hidden="true">
      <title>{label}</title>
      <line x1="0" x2="0" y1={-PLOT} y2="0" stroke="var(--faint)" strokeDasharray="1 4" />
      <path d="M0 0L5 9H-5Z" fill="var(--accent)" />
    </svg>
  );
}

function titleOf({ quantity }: DriftPicture): string {
  return quantity === "signal" ? "Signal by week with its forecast" : "Compensation used by week with its forecast";
}

function driftWords({ points, forecast, limitPct, thermalSwingPct }: DriftPicture, format: Format): string {
  const percent = (value: number) => `${format.number(value, { digits: 1 })} %`;
  const first = points[0];
  const last = points.at(-1);
  const end = forecast.at(-1);
  return [
    first && last ? `From ${percent(first.pct)} to ${percent(last.pct)} over ${points.length} weeks.` : "No readings.",
    end ? `The forecast ends at ${percent(end.pct)}, between ${percent(end.low)} and ${percent(end.high)}.` : "",
    `The limit is ${percent(limitPct)}.`,
    thermalSwingPct === null ? "" : `It swings by ${percent(thermalSwingPct)} with temperature.`,
  ]
    .filter(Boolean)
    .join(" ");
}
