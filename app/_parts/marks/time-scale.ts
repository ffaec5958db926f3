import { scaleUtc } from "d3-scale";

/** A scale of Instants to fractions 0..1, with the first instants of months or years as ticks. */
export type TimeScale = {
  readonly fraction: (at: number) => number;
  readonly ticks: readonly number[];
};

/** Scale from `from` to `until`; ticks are cut in UTC, which at the width of a picture is the site's day. */
export function timeScaleOf({
  from,
  until,
  tickCount = 5,
}: {
  from: number;
  until: number;
  tickCount?: number;
}): TimeScale {
  const scale = scaleUtc()
    .domain([from, until > from ? until : from + 1])
    .range([0, 1]);
  return { fraction: (at) => scale(at), ticks: scale.ticks(tickCount).map((tick) => tick.getTime()) };
}
