import type { Format } from "@/app/_parts/format";
import { Label, Mark, STRETCH_WIDTH, Stretch } from "@/app/_parts/marks/mark";
import { bandOf, pathOf, plotScaleOf } from "@/app/_parts/marks/plot-scale";
import type { Estimate } from "@/lib/kernel/interval";

/** A month of a small line; null where nothing can be said. */
export type TrendPoint = {
  readonly month: string;
  readonly value: number | null;
  readonly low?: number | null;
  readonly high?: number | null;
};

const HEIGHT = 64;
const PLOT = 44;
const TOP = 4;

/** Months as a small line with its band, and the limit it is held against. */
export function TrendLine({
  title,
  points,
  limit = null,
  write,
  format,
}: {
  title: string;
  points: readonly TrendPoint[];
  limit?: number | null;
  write: (value: number) => string;
  format: Format;
}) {
  const x = (index: number) => (points.length < 2 ? 0 : (index / (points.length - 1)) * STRETCH_WIDTH);
  const ends = points.flatMap(({ value, high }) => [value, high ?? null]).filter((end) => end !== null);
  const { y } = plotScaleOf(limit === null ? ends : [...ends, limit], { heightPx: PLOT });
  const band = points.flatMap(({ low, high }, index) =>
    low === null || low === undefined || high === null || high === undefined
      ? []
      : [{ x: x(index), low: y(low), high: y(high) }],
  );
  const line = points.map(({ value }, index) => (value === null ? null : { x: x(index), y: y(value) }));
  const last = points.at(-1);
  const first = points[0];
  const lastY = last && last.value !== null ? y(last.value) : null;
  return (
    <Mark title={title} description={wordsOf(points, { limit, write, format })} heightPx={HEIGHT}>
      <Stretch heightPx={PLOT} y={TOP}>
        <path d={bandOf(band)} fill="var(--accent-wash)" />
        <line x1="0" x2={STRETCH_WIDTH} y1={PLOT} y2={PLOT} stroke="var(--rule)" vectorEffect="non-scaling-stroke" />
        {limit === null ? null : (
          <line
            x1="0"
            x2={STRETCH_WIDTH}
            y1={y(limit)}
            y2={y(limit)}
            stroke="var(--worse)"
            strokeDasharray="5 4"
            vectorEffect="non-scaling-stroke"
          />
        )}
        <path
          d={pathOf(line)}
          fill="none"
          stroke="var(--accent)"
          strokeWidth="1.75"
          vectorEffect="non-scaling-stroke"
        />
      </Stretch>
      {lastY === null ? null : <circle cx="100%" cy={lastY + TOP} r="3" fill="var(--accent)" />}
      {first ? (
        <Label x="0" y={HEIGHT - 2}>
          {format.month(first.month, { short: true })}
        </Label>
      ) : null}
      {last ? (
        <Label x="100%" y={HEIGHT - 2} anchor="end">
          {format.month(last.month, { short: true })}
        </Label>
      ) : null}
    </Mark>
  );
}

function wordsOf(
  points: readonly TrendPoint[],
  { limit, write, format }: { limit: number | null; write: (value: number) => string; format: Format },
): string {
  const known = points.flatMap(({ month, value }) => (value === null ? [] : [{ month, value }]));
  const first = known[0];
  const last = known.at(-1);
  if (!first || !last) return "No month can be shown.";
  const highest = known.reduce((most, point) => (point.value > most.value ? point : most), first);
  const said = ({ month, value }: { month: string; value: number }) => `${write(value)} in ${format.month(month)}`;
  const against = limit === null ? "" : ` The limit is ${write(limit)}.`;
  return `From ${said(first)} to ${said(last)}, at most ${said(highest)}.${against}`;
}

/** A rate as a point of the line, with its interval as the band; nothing where there is no rate. */
export function ratePoint(month: string, rate: Estimate | null): TrendPoint {
  return { month, value: rate?.mean ?? null, low: rate?.low ?? null, high: rate?.high ?? null };
}
