import { scaleLinear } from "d3-scale";

/** A vertical scale of values to pixels from the top, with round ticks. */
export type PlotScale = {
  readonly y: (value: number) => number;
  readonly ticks: readonly number[];
};

/** Scale that holds all `values` (and zero when `fromZero`), of `heightPx`; 0..1 when there are none. */
export function plotScaleOf(
  values: readonly number[],
  { heightPx, fromZero = true, tickCount = 3 }: { heightPx: number; fromZero?: boolean; tickCount?: number },
): PlotScale {
  const all = fromZero ? [0, ...values] : values;
  const low = all.length > 0 ? Math.min(...all) : 0;
  const high = all.length > 0 ? Math.max(...all) : 1;
  const scale = scaleLinear()
    .domain([low, high > low ? high : low + 1])
    .nice(tickCount)
    .range([heightPx, 0]);
  return { y: (value) => Number(scale(value).toFixed(2)), ticks: scale.ticks(tickCount) };
}

/** Points joined to a path in the space of the plot; a null breaks the line. */
export function pathOf(points: readonly ({ readonly x: number; readonly y: number } | null)[]): string {
  let pen = "M";
  const parts: string[] = [];
  for (const point of points) {
    if (point === null) pen = "M";
    else {
      parts.push(`${pen}${point.x.toFixed(2)} ${point.y.toFixed(2)}`);
      pen = "L";
    }
  }
  return parts.join("");
}

/** Band between two lines over the same places, closed. */
export function bandOf(points: readonly { readonly x: number; readonly low: number; readonly high: number }[]): string {
  if (points.length === 0) return "";
  const upper = points.map(({ x, high }) => `${x.toFixed(2)} ${high.toFixed(2)}`);
  const lower = points.map(({ x, low }) => `${x.toFixed(2)} ${low.toFixed(2)}`).reverse();
  return `M${[...upper, ...lower].join("L")}Z`;
}
