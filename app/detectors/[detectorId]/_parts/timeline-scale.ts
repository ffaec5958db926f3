import { type Month, monthOf, startOfDay, type TimeZone } from "@/lib/kernel/time";

/** Straight map from values to pixels of a drawing. */
export type Scale = (value: number) => number;

/** A point of a drawn line, in pixels. */
export type Point = { readonly x: number; readonly y: number };

/** Scale that takes `from..to` onto `start..end`; an empty domain falls on `start`. */
export function scaleOf([from, to]: readonly [number, number], [start, end]: readonly [number, number]): Scale {
  const factor = to === from ? 0 : (end - start) / (to - from);
  return (value) => start + (value - from) * factor;
}

/** A value at a moment with the least and the most it stands for. */
export type Sample = { readonly at: number; readonly low: number; readonly mid: number; readonly high: number };

/** One pixel column: extremes of the band, and the extremes of the line in the order in which they came. */
export type PixelColumn = {
  readonly x: number;
  readonly low: number;
  readonly high: number;
  readonly line: readonly number[];
};

/**
 * Samples gathered into pixel columns with their extremes kept, so that a line has at most two points a pixel.
 *
 * @param samples - oldest first
 * @returns runs of columns; a new run starts where more than `gapMs` lie between two samples
 */
export function columnsOf(samples: readonly Sample[], { x, gapMs }: { x: Scale; gapMs: number }): PixelColumn[][] {
  const runs: PixelColumn[][] = [];
  let run: PixelColumn[] = [];
  let bucket: Sample[] = [];
  let previous: Sample | null = null;
  const closeBucket = () => {
    if (bucket.length > 0) run.push(columnOf(bucket, x));
    bucket = [];
  };
  for (const sample of samples) {
    const gap = previous !== null && sample.at - previous.at > gapMs;
    const nextPixel = previous !== null && Math.floor(x(sample.at)) !== Math.floor(x(previous.at));
    if (gap || nextPixel) closeBucket();
    if (gap) {
      runs.push(run);
      run = [];
    }
    bucket.push(sample);
    previous = sample;
  }
  closeBucket();
  if (run.length > 0) runs.push(run);
  return runs;
}

function columnOf(bucket: readonly Sample[], x: Scale): PixelColumn {
  const first = bucket[0];
  if (!first) throw new RangeError("a pixel column without samples");
  let lowest = first;
  let highest = first;
  let low = first.low;
  let high = first.high;
  for (const sample of bucket) {
    if (sample.mid < lowest.mid) lowest = sample;
    if (sample.mid > highest.mid) highest = sample;
    low = Math.min(low, sample.low);
    high = Math.max(high, sample.high);
  }
  const inOrder = lowest.at <= highest.at ? [lowest, highest] : [highest, lowest];
  const line = lowest === highest ? [lowest.mid] : inOrder.map((sample) => sample.mid);
  return { x: bucket.length === 1 ? x(first.at) : Math.floor(x(first.at)) + 0.5, low, high, line };
}

/** SVG path of the middle line of runs of columns. */
export function linePath(runs: readonly (readonly PixelColumn[])[], y: Scale): string {
  return runs
    .map((run) => pathOf(run.flatMap((column) => column.line.map((value) => ({ x: column.x, y: y(value) })))))
    .join("");
}

/** SVG path of the band between the extremes of runs of columns. */
export function bandPath(runs: readonly (readonly PixelColumn[])[], y: Scale): string {
  return runs
    .map((run) => {
      const above = run.map((column) => ({ x: column.x, y: y(column.high) }));
      const below = run.map((column) => ({ x: column.x, y: y(column.low) })).reverse();
      return `${pathOf([...above, ...below])}Z`;
    })
    .join("");
}

/** SVG path through points; empty for none. */
export function pathOf(points: readonly Point[]): string {
  return points.map((point, index) => `${index === 0 ? "M" : "L"}${round(point.x)} ${round(point.y)}`).join("");
}

/** Beginnings of months between two moments in a zone, at most `most` of them: every 1, 2, 3, 6 or 12 months. */
export function monthTicks(
  { fromAt, toAt }: { fromAt: number; toAt: number },
  { zone, most }: { zone: TimeZone; most: number },
): { readonly at: number; readonly month: Month }[] {
  const months: Month[] = [];
  for (let month = monthOf(fromAt, zone); month <= monthOf(toAt, zone); month = nextMonth(month)) months.push(month);
  const step = [1, 2, 3, 6, 12, 24, 60].find((every) => months.length / every <= most) ?? 120;
  return months
    .filter((month) => (Number(month.slice(0, 4)) * 12 + Number(month.slice(5)) - 1) % step === 0)
    .map((month) => ({ month, at: startOfDay(`${month}-01`, zone) }))
    .filter(({ at }) => at >= fromAt && at <= toAt);
}

/** Round numbers that cover low..high with about `about` steps, ends included when they are round. */
export function roundTicks(low: number, high: number, about: number): number[] {
  const rough = (high - low) / Math.max(1, about);
  if (!(rough > 0)) return [low];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 2.5, 5, 10].find((factor) => factor * power >= rough) ?? 10) * power;
  const ticks: number[] = [];
  for (let index = Math.ceil(low / step - 1e-9); index * step <= high + 1e-9; index += 1) {
    ticks.push(Number((index * step).toPrecision(12)));
  }
  return ticks;
}

function nextMonth(month: Month): Month {
  const year = Number(month.slice(0, 4));
  const of = Number(month.slice(5));
  return of === 12 ? `${year + 1}-01` : `${year}-${String(of + 1).padStart(2, "0")}`;
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}
