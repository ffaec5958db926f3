import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/** Paths of files to import, in the order they are named on the command line. */
export type KillFiles = { readonly first: readonly string[]; readonly second: readonly string[] };

const HOUR = 3_600_000;
const START = Date.UTC(2024, 0, 1);

/**
 * Two imports of one invented fleet: the first brings sites, some detectors and the older half of the records, and
 * readings of detectors that are not known yet; the second brings those detectors, newer records, repeats, readings that
 * differ from stored ones, and rows that are wrong. So a kill of the second can hit every kind of write.
 */
export function writeKillFiles(
  folder: string,
  { detectors, readingsEach }: { detectors: number; readingsEach: number },
): KillFiles {
  mkdirSync(folder, { recursive: true });
  const write = (name: string, lines: readonly string[]) => {
    const path = join(folder, name);
    writeFileSync(path, `${lines.join("\n")}\n`);
    return path;
  };
  const known = Math.ceil(detectors * 0.7);
  const detector = (number: number) =>
    `D${number},S${1 + (number % 2)},Bay ${number},reflective,60,9,90,2023-01-01,35,ladder`;
  const numbers = (from: number, until: number) => Array.from({ length: until - from }, (_, index) => from + index);
  const readings = (from: number, until: number) =>
    numbers(from, until).flatMap((step) =>
      numbers(0, detectors).map((number) => {
        const signal = (90 + ((step * 7 + number * 13) % 1_000) / 100).toFixed(2);
        return `D${number},${new Date(START + step * HOUR).toISOString()},${signal},${step % 5},${(step % 300) / 10}`;
      }),
    );
  const events = (from: number, until: number) =>
    numbers(from, until).map((step) => {
      const began = START + step * HOUR;
      return `D${step % detectors},${iso(began)},${iso(began + HOUR)},fault,low_signal`;
    });
  const work = (from: number, until: number) =>
    numbers(from, until).map(
      (step) => `D${step % detectors},${iso(START + step * HOUR)},realign,"Bracket ""${step}"""`,
    );
  const half = Math.floor(readingsEach / 2);
  const detectorHeader =
    "detector_id,site_id,label,form,path_length_m,height_m,bearing_deg,installed_on,alarm_threshold_pct,access";
  const readingHeader = "detector_id,read_at,signal_pct,compensation_pct,temperature_c";
  const eventHeader = "detector_id,began_at,ended_at,condition,cause";
  const workHeader = "detector_id,done_at,task,note";
  const differing = numbers(0, half)
    .filter((step) => step % 50 === 0)
    .map((step) => `D0,${iso(START + step * HOUR)},42.5,,`);
  return {
    first: [
      write("sites-1.csv", ["site_id,name,latitude,longitude,time_zone", "S1,Hall,60,25,UTC", "S2,Depot,38,-9,UTC"]),
      write("detectors-1.csv", [detectorHeader, ...numbers(0, known).map(detector)]),
      write("readings-1.csv", [readingHeader, ...readings(0, half)]),
      write("events-1.csv", [eventHeader, ...events(0, half)]),
      write("work-1.csv", [workHeader, ...work(0, 200)]),
    ],
    second: [
      write("detectors-2.csv", [
        detectorHeader,
        ...numbers(0, detectors).map(detector),
        "D1,S1,wrong,no_form,1,1,1,,,",
      ]),
      write("readings-2.csv", [
        readingHeader,
        ...differing,
        "D0,not a time,50,,",
        ...readings(half - 20, readingsEach),
        "D0,2024-01-01T00:00:00Z,9000,,",
      ]),
      write("events-2.csv", [eventHeader, ...events(half - 10, readingsEach)]),
      write("work-2.csv", [workHeader, ...work(150, 400)]),
    ],
  };
}

function iso(at: number): string {
  return new Date(at).toISOString();
}
