import type { Format } from "@/app/_parts/format";
import { placeName } from "@/app/_parts/marks/season-rose";
import type { Column, Row } from "@/app/_parts/table";
import type { DriftPicture, HoldPicture, Picture, RatePicture, RosePicture } from "@/lib/analyse/picture";

/** The numbers a picture is drawn from, as a table. */
export function tableOf(
  picture: Picture,
  { format, timeZone }: { format: Format; timeZone: string },
): { columns: Column[]; rows: Row[] } {
  if (picture.type === "rate") return rateTable(picture, format);
  if (picture.type === "rose") return roseTable(picture, format);
  if (picture.type === "hold") return holdTable(picture, format);
  return driftTable(picture, { format, timeZone });
}

function rateTable({ months }: RatePicture, format: Format) {
  return {
    columns: [start("month", "Month"), end("episodes", "Fault episodes"), end("days", "Days observed")],
    rows: months.map(({ month, episodes, exposureDays }) => ({
      key: month,
      cells: [format.month(month), format.number(episodes), format.number(exposureDays, { digits: 1 })],
    })),
  };
}

function roseTable({ circle, bins }: RosePicture, format: Format) {
  return {
    columns: [
      start("from", circle === "year" ? "From" : "From, site time"),
      end("events", "Alarms"),
      end("days", "Days observed"),
      end("rate", "Per 100 days"),
    ],
    rows: bins.map(({ events, exposureDays, rate }, index) => ({
      key: String(index),
      cells: [
        placeName(index / bins.length, { circle, format }),
        format.number(events),
        format.number(exposureDays),
        rate === null ? "cannot say" : format.number(rate, { digits: 2 }),
      ],
    })),
  };
}

function holdTable({ holds }: HoldPicture, format: Format) {
  return {
    columns: [start("from", "Aligned"), end("days", "Days held"), start("ending", "Ended")],
    rows: holds.map(({ from, days, ending }) => ({
      key: from,
      cells: [format.day(from), format.number(days), ending],
    })),
  };
}

function driftTable({ points, forecast }: DriftPicture, { format, timeZone }: { format: Format; timeZone: string }) {
  const percent = (value: number) => `${format.number(value, { digits: 1 })} %`;
  return {
    columns: [start("week", "Week of"), end("pct", "Weekly median"), start("band", "Forecast interval")],
    rows: [
      ...points.map(({ at, pct }) => ({ key: `p${at}`, cells: [format.dayOf(at, timeZone), percent(pct), ""] })),
      ...forecast.map(({ at, pct, low, high }) => ({
        key: `f${at}`,
        cells: [format.dayOf(at, timeZone), percent(pct), `${percent(low)} to ${percent(high)}`],
      })),
    ],
  };
}

function start(key: string, label: string): Column {
  return { key, label };
}

function end(key: string, label: string): Column {
  return { key, label, align: "end" };
}
