import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const DAY_MS = 86_400_000;
const from = Date.UTC(2024, 0, 1);
const days = 547;

/** The detector of the journey's files whose signal falls all the time and which raises more and more faults. */
export const worst = "HALL-3";

const detectors = ["HALL-1", "HALL-2", worst, "DOCK-1", "DOCK-2", "DOCK-3"];

/** Rows of each of the journey's files, and how many of them go in. */
export const counts = {
  sites: { rows: 2, accepted: 2 },
  detectors: { rows: 6, accepted: 6 },
  readings: { rows: 6 * days + 2, accepted: 6 * days },
  events: { rows: 13, accepted: 12 },
  work: { rows: 3, accepted: 3 },
} as const;

/** Writes the five files of two sites over a year and a half and gives back their paths in an order that is none. */
export function writeJourneyFiles(folder: string): string[] {
  mkdirSync(folder, { recursive: true });
  return Object.entries({ work, readings, sites, events, detectors: beams }).map(([kind, rowsOf]) => {
    const path = join(folder, `${kind}.csv`);
    writeFileSync(path, `${rowsOf().join("\n")}\n`);
    return path;
  });
}

function sites(): string[] {
  return [
    "site_id,name,latitude,longitude,time_zone",
    "HALL,Turbine hall,60.17,24.94,Europe/Helsinki",
    "DOCK,River dock,38.72,-9.14,Europe/Lisbon",
  ];
}

function beams(): string[] {
  return [
    "detector_id,site_id,label,form,path_length_m,height_m,bearing_deg,installed_on,alarm_threshold_pct,access",
    ...detectors.map(
      (id, index) => `${id},${id.slice(0, 4)},Bay ${index + 1},reflective,${50 + 5 * index},9,90,2023-06-01,35,ladder`,
    ),
  ];
}

/** A reading a day; the worst loses a quarter of its signal over the time, the others stay within a point. */
function readings(): string[] {
  const rows = ["detector_id,read_at,signal_pct", "HALL-1,2025-01-01T12:00:00Z,401", "HALL-9,2025-01-01T12:00:00Z,98"];
  for (let day = 0; day < days; day += 1) {
    const readAt = new Date(from + day * DAY_MS).toISOString();
    for (const [index, id] of detectors.entries()) {
      const level = id === worst ? 100 - (25 * day) / days : 98;
      rows.push(`${id},${readAt},${(level + unrest(day, index)).toFixed(2)}`);
    }
  }
  return rows;
}

/** Within -0.5 and 0.5, without a period that a season could be mistaken for, and the same on every run. */
function unrest(day: number, index: number): number {
  const turn = Math.sin((day * 6 + index + 1) * 12.9898) * 43758.5453;
  return turn - Math.floor(turn) - 0.5;
}

/** The worst faults oftener and oftener; one of the others once, which is nothing. */
function events(): string[] {
  const faultDays = [120, 290, 360, 410, 440, 465, 485, 500, 515, 528, 538];
  const event = (id: string, day: number) => {
    const [began, ended] = [8, 9].map((hour) => new Date(from + day * DAY_MS + hour * 3_600_000).toISOString());
    return `${id},${began},${ended},fault,low_signal,`;
  };
  return [
    "detector_id,began_at,ended_at,condition,cause,verdict",
    "HALL-2,2025-02-01T09:00:00Z,2025-02-01T08:00:00Z,fault,low_signal,",
    ...faultDays.map((day) => event(worst, day)),
    event("DOCK-2", 300),
  ];
}

function work(): string[] {
  return [
    "detector_id,done_at,task,result,minutes",
    "HALL-1,2024-03-01T10:00:00Z,filter_test,pass,20",
    "HALL-2,2024-03-01T11:00:00Z,filter_test,pass,20",
    `${worst},2024-03-01T12:00:00Z,filter_test,pass,20`,
  ];
}
