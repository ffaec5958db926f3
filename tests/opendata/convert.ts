import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parse } from "csv-parse/sync";
import { stringify } from "csv-stringify/sync";
import { hashOf } from "@/lib/kernel/chance";
import { startOfDay } from "@/lib/kernel/time";
import { HOUR_MS, MINUTE_MS } from "@/lib/kernel/units";

/** One lift in one month, as published. */
export type LiftMonth = {
  readonly lift: string;
  /** `YYYY-MM`. */
  readonly month: string;
  readonly station: string;
  readonly stationName: string;
  readonly unscheduled: number;
  readonly scheduled: number;
  readonly totalHours: number;
  readonly availableHours: number;
};

/** A station with its place. */
export type Station = { readonly station: string; readonly latitude: number; readonly longitude: number };

/** A record made for a lift; times are Instants. */
export type LiftEvent = {
  readonly lift: string;
  readonly beganAt: number;
  readonly endedAt: number;
  readonly condition: "fault" | "disablement";
};

const ZONE = "America/New_York";
const data = fileURLToPath(new URL("./data", import.meta.url));

/** The published lift months, oldest first. */
export function readLiftMonths(): LiftMonth[] {
  const rows: Record<string, string>[] = parse(
    readFileSync(join(data, "lift_availability_2021-01_2025-05.csv"), "utf8"),
    { columns: true },
  );
  const months = rows.map((row) => {
    const [month = "", , year = ""] = (row.Month ?? "").split("/");
    return {
      lift: row["Equipment Code"] ?? "",
      month: `${year}-${month}`,
      station: row["Station MRN"] ?? "",
      stationName: row["Station Name"] ?? "",
      unscheduled: Number(row["Unscheduled Outages"]),
      scheduled: Number(row["Scheduled Outages"]),
      totalHours: Number(row["24-Hour Total Hours"]),
      availableHours: Number(row["24-Hour Hours Available"]),
    };
  });
  return months.sort((a, b) => (a.month === b.month ? compare(a.lift, b.lift) : compare(a.month, b.month)));
}

/** The published stations. */
export function readStations(): Station[] {
  const rows: Record<string, string>[] = parse(readFileSync(join(data, "station_master.csv"), "utf8"), {
    columns: true,
  });
  return rows.map((row) => ({
    station: row["Station ID"] ?? "",
    latitude: Number(row["GTFS Latitude"]),
    longitude: Number(row["GTFS Longitude"]),
  }));
}

/** Faults and disablements of all lifts; PROVENANCE.md says by which rule the moments are made. */
export function eventsOf(months: readonly LiftMonth[]): LiftEvent[] {
  const byLift = new Map<string, LiftMonth[]>();
  for (const month of months) byLift.set(month.lift, [...(byLift.get(month.lift) ?? []), month]);
  return [...byLift.values()].flatMap((own) => [
    ...closures(own),
    ...own.filter((month) => month.totalHours > 0).flatMap(monthEvents),
  ]);
}

/** Start of a month and of the next one, UTC. */
export function monthSpan(month: string): { startAt: number; endAt: number } {
  const [year = 0, number = 1] = month.split("-").map(Number);
  return { startAt: Date.UTC(year, number - 1, 1), endAt: Date.UTC(year, number, 1) };
}

function monthEvents({ lift, month, unscheduled, scheduled, totalHours, availableHours }: LiftMonth): LiftEvent[] {
  const { startAt, endAt } = monthSpan(month);
  const place = (index: number, count: number, share: number) =>
    roundMinute(startAt + ((index + share) / count) * (endAt - startAt));
  const lostMs = (totalHours - availableHours - scheduled) * HOUR_MS;
  const stepMs = (endAt - startAt) / Math.max(1, unscheduled);
  const lengthMs = roundMinute(Math.min(0.4 * stepMs, Math.max(10 * MINUTE_MS, lostMs / Math.max(1, unscheduled))));
  const faults = Array.from({ length: unscheduled }, (_, index) => place(index, unscheduled, shareOf(lift)));
  const windows: number[] = [];
  for (let index = 0; index < scheduled; index += 1) {
    let at = place(index, scheduled, shareOf(`${lift} scheduled`));
    const taken = () =>
      faults.some((fault) => fault >= at && fault <= at + HOUR_MS) ||
      windows.some((one) => Math.abs(one - at) < HOUR_MS);
    while (taken()) at += 2 * HOUR_MS;
    windows.push(at);
  }
  return [
    ...faults.map((at) => ({ lift, beganAt: at, endedAt: at + lengthMs, condition: "fault" as const })),
    ...windows.map((at) => ({ lift, beganAt: at, endedAt: at + HOUR_MS, condition: "disablement" as const })),
  ];
}

/** Months without any hours, joined where they touch; none begins before the local day of installation. */
function closures(months: readonly LiftMonth[]): LiftEvent[] {
  const installedAt = startOfDay(`${months[0]?.month}-01`, ZONE);
  const spans: { lift: string; beganAt: number; endedAt: number; condition: "disablement" }[] = [];
  for (const { lift, month, totalHours } of months) {
    if (totalHours > 0) continue;
    const { startAt, endAt } = monthSpan(month);
    const last = spans.at(-1);
    if (last?.endedAt === startAt) last.endedAt = endAt;
    else spans.push({ lift, beganAt: Math.max(startAt, installedAt), endedAt: endAt, condition: "disablement" });
  }
  return spans;
}

/** Writes sites.csv, detectors.csv and events.csv into a folder; returns them as an import takes them. */
export function writeCanonicalFiles(folder: string): { name: string; path: string }[] {
  const months = readLiftMonths();
  const places = new Map(readStations().map((one) => [one.station, one]));
  const stations = new Map(months.map((one) => [one.station, one.stationName]));
  const firstMonths = new Map([...months].reverse().map((one) => [one.lift, one]));
  const sites = [...stations].map(([station, name]) => {
    const place = places.get(station);
    if (!place) throw new Error(`station ${station} has no place`);
    const { latitude, longitude } = place;
    return { site_id: station, name, latitude, longitude, time_zone: ZONE, currency: "USD" };
  });
  const detectors = [...firstMonths.values()].map(({ lift, station, month }) => ({
    detector_id: lift,
    site_id: station,
    label: lift,
    ...{ form: "end_to_end", path_length_m: 10, height_m: 3, bearing_deg: 0, alarm_threshold_pct: 35 },
    access: "ladder",
    installed_on: `${month}-01`,
  }));
  const events = eventsOf(months).map(({ lift, beganAt, endedAt, condition }) => ({
    detector_id: lift,
    began_at: new Date(beganAt).toISOString(),
    ended_at: new Date(endedAt).toISOString(),
    condition,
    cause: condition === "fault" ? "unknown" : "",
  }));
  return Object.entries({ sites, detectors, events }).map(([kind, rows]) => {
    const path = join(folder, `${kind}.csv`);
    writeFileSync(path, stringify(rows, { header: true }));
    return { name: `${kind}.csv`, path };
  });
}

/** Place of a lift inside each step, 0.05 to 0.95. */
function shareOf(text: string): number {
  return 0.05 + (0.9 * (hashOf(text) % 9973)) / 9973;
}

function roundMinute(at: number): number {
  return Math.round(at / MINUTE_MS) * MINUTE_MS;
}

function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
