import type { Format } from "@/app/_parts/format";
import {
  bandPath,
  columnsOf,
  linePath,
  monthTicks,
  pathOf,
  roundTicks,
  type Sample,
  type Scale,
  scaleOf,
} from "@/app/detectors/[detectorId]/_parts/timeline-scale";
import { DAY_MS } from "@/lib/kernel/units";
import type { TimelineView } from "@/lib/services/detector-timeline";

/** What all lanes share: the axis of time and the size of the drawing, in pixels. */
export type Frame = {
  readonly x: Scale;
  readonly left: number;
  readonly right: number;
  readonly narrow: boolean;
  readonly fontSize: number;
  readonly rowHeight: number;
};

/** The frame of a view drawn `width` pixels wide. */
export function frameOf(view: TimelineView, { width }: { width: number }): Frame {
  const narrow = width < 600;
  const left = narrow ? 62 : 76;
  const right = width - 6;
  return { x: scaleOf([view.fromAt, view.toAt], [left, right]), left, right, narrow, fontSize: 13, rowHeight: 22 };
}

/** Months along the top, and the day of the analysis, through all lanes. */
export function TimeAxis({
  frame,
  view,
  format,
  height,
}: {
  frame: Frame;
  view: TimelineView;
  format: Format;
  height: number;
}) {
  const ticks = monthTicks(view, { zone: view.timeZone, most: frame.narrow ? 5 : 12 });
  const asOfX = frame.x(view.asOf);
  return (
    <g>
      <rect
        x={asOfX}
        y={AXIS_LINE}
        width={Math.max(0, frame.right - asOfX)}
        height={height - AXIS_LINE}
        fill="var(--sunk)"
      />
      <line x1={frame.left} x2={frame.right} y1={AXIS_LINE} y2={AXIS_LINE} stroke="var(--ink)" />
      {ticks.map(({ at, month }) => {
        const x = frame.x(at);
        const room = frame.right - x > 44;
        return (
          <g key={month}>
            <line x1={x} x2={x} y1={AXIS_LINE - 6} y2={height} stroke="var(--rule)" />
            {room ? (
              <text x={x + 4} y={AXIS_LINE - 6} fontSize={frame.fontSize} fill="var(--soft)">
                {format.month(month, { short: true })}
              </text>
            ) : null}
          </g>
        );
      })}
      <line x1={asOfX} x2={asOfX} y1={AXIS_LINE} y2={height} stroke="var(--ink)" strokeWidth={1.25} />
    </g>
  );
}

const AXIS_LINE = 22;
// Derived days stand a day apart; four without one is a gap worth seeing.
const GAP_MS = 4 * DAY_MS;

type Limit = { readonly value: number; readonly label: string };

/** One quantity: its band and line, its limit, and the forecast where there is one. */
export function SeriesLane({
  frame,
  title,
  unit,
  top,
  height,
  samples,
  include,
  limit,
  forecast,
}: {
  frame: Frame;
  title: string;
  unit: string;
  top: number;
  height: number;
  samples: readonly Sample[];
  /** Values the scale must show besides the data. */
  include: readonly number[];
  limit: Limit | null;
  forecast: TimelineView["forecast"];
}) {
  const values = [...include, ...samples.flatMap(({ low, high }) => [low, high])];
  const ends = forecast.flatMap(({ pct }) => [pct]);
  const from = Math.min(...values, ...ends);
  const to = Math.max(...values, ...ends);
  const y = scaleOf([from, to === from ? from + 1 : to], [top + height, top]);
  const inLane = (value: number) => Math.min(top + height, Math.max(top, y(value)));
  const runs = columnsOf(samples, { x: frame.x, gapMs: GAP_MS });
  return (
    <g>
      <text x={frame.left} y={top - 7} fontSize={frame.fontSize} fill="var(--ink)" fontWeight={600}>
        {title}, {unit}
      </text>
      {roundTicks(from, to, height > 100 ? 4 : 2).map((tick) => (
        <g key={tick}>
          <line x1={frame.left} x2={frame.right} y1={y(tick)} y2={y(tick)} stroke="var(--rule)" />
          <text x={frame.left - 8} y={y(tick) + 4} fontSize={frame.fontSize} fill="var(--soft)" textAnchor="end">
            {tick}
          </text>
        </g>
      ))}
      <path d={bandPath(runs, y)} fill="var(--ink)" fillOpacity={0.16} />
      <path d={linePath(runs, y)} fill="none" stroke="var(--ink)" strokeWidth={1.25} strokeLinejoin="round" />
      {limit ? <LimitLine frame={frame} limit={limit} y={y(limit.value)} top={top} /> : null}
      {forecast.length > 0 ? <Forecast frame={frame} forecast={forecast} y={inLane} /> : null}
      {samples.length === 0 ? (
        <text x={frame.left + 8} y={top + height / 2} fontSize={frame.fontSize} fill="var(--soft)">
          no readings in this stretch
        </text>
      ) : null}
    </g>
  );
}

/** The limit; its words stand above the line, below it where the name of the lane needs the place. */
function LimitLine({ frame, limit, y, top }: { frame: Frame; limit: Limit; y: number; top: number }) {
  return (
    <g>
      <line
        x1={frame.left}
        x2={frame.right}
        y1={y}
        y2={y}
        stroke="var(--worse)"
        strokeWidth={1.25}
        strokeDasharray="7 3"
      />
      <text
        x={frame.left + 4}
        y={y - top < 16 ? y + 15 : y - 5}
        fontSize={frame.fontSize}
        fill="var(--worse)"
        stroke="var(--paper)"
        strokeWidth={3}
        paintOrder="stroke"
      >
        {limit.label}
      </text>
    </g>
  );
}

function Forecast({ frame, forecast, y }: { frame: Frame; forecast: TimelineView["forecast"]; y: Scale }) {
  const above = forecast.map(({ at, high }) => ({ x: frame.x(at), y: y(high) }));
  const below = forecast.map(({ at, low }) => ({ x: frame.x(at), y: y(low) })).reverse();
  return (
    <g>
      <path d={`${pathOf([...above, ...below])}Z`} fill="var(--accent)" fillOpacity={0.22} />
      <path
        d={pathOf(forecast.map(({ at, pct }) => ({ x: frame.x(at), y: y(pct) })))}
        fill="none"
        stroke="var(--accent)"
        strokeWidth={2}
      />
    </g>
  );
}
