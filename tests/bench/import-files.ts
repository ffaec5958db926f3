import { closeSync, openSync, writeFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";

/** A fleet whose readings are written to files: how many detectors, and hours from one reading of each to the next. */
export type BenchFleet = { readonly detectors: number; readonly days: number; readonly stepHours: number };

const START_AT = Date.UTC(2023, 0, 1);
const SITES = 20;

/** Writes the sites and detectors of a fleet into a folder; their paths. */
export function writeDirectory(folder: string, { detectors }: BenchFleet): string[] {
  const sites = Array.from({ length: SITES }, (_, index) => `S${index},Site ${index},60,25,Europe/Helsinki\n`);
  const rows = Array.from(
    { length: detectors },
    (_, index) => `${idOf(index)},S${index % SITES},Bay ${index},reflective,60,9,90,2022-01-01,35,ladder\n`,
  );
  const files = [
    ["sites.csv", `site_id,name,latitude,longitude,time_zone\n${sites.join("")}`],
    [
      "detectors.csv",
      `detector_id,site_id,label,form,path_length_m,height_m,bearing_deg,installed_on,alarm_threshold_pct,access\n${rows.join("")}`,
    ],
  ] as const;
  return files.map(([name, text]) => {
    const path = join(folder, name);
    writeFileSync(path, text);
    return path;
  });
}

/**
 * Writes readings as sites send them: signal in hundredths with noise, slow drift and the swing of the temperature,
 * compensation and temperature in tenths. The same fleet gives the same bytes. Returns how many readings.
 */
export function writeReadings(path: string, fleet: BenchFleet, order: "detector" | "time"): number {
  const { detectors, days, stepHours } = fleet;
  const steps = Math.floor((days * 24) / stepHours);
  const gauss = noise(12_345);
  const traits = Array.from({ length: detectors }, () => ({
    signal: 97 + gauss(),
    drift: 0.004 + 0.001 * gauss(),
    compensation: 2 + Math.abs(gauss()),
    phase: gauss(),
  }));
  const file = openSync(path, "w");
  let text = "detector_id,read_at,signal_pct,compensation_pct,temperature_c\n";
  const put = (detector: number, step: number) => {
    const { signal, drift, compensation, phase } = traits[detector] ?? {
      signal: 0,
      drift: 0,
      compensation: 0,
      phase: 0,
    };
    const at = START_AT + step * stepHours * HOUR_MS;
    const day = (at - START_AT) / DAY_MS;
    const temperature = 12 + 9 * Math.sin(day / 58 + phase) + 4 * Math.sin(day * 2 * Math.PI) + 0.7 * gauss();
    const level = signal - drift * day + 0.02 * temperature + 0.25 * gauss();
    const used = Math.max(0, compensation + drift * day + 0.05 * gauss());
    text += `${idOf(detector)},${new Date(at).toISOString().slice(0, 19)}Z,${level.toFixed(2)},${used.toFixed(1)},${temperature.toFixed(1)}\n`;
    if (text.length < 1 << 20) return;
    writeSync(file, text);
    text = "";
  };
  if (order === "detector") {
    for (let detector = 0; detector < detectors; detector += 1)
      for (let step = 0; step < steps; step += 1) put(detector, step);
  } else {
    for (let step = 0; step < steps; step += 1)
      for (let detector = 0; detector < detectors; detector += 1) put(detector, step);
  }
  writeSync(file, text);
  closeSync(file);
  return steps * detectors;
}

function idOf(index: number): string {
  return `D${String(index + 1).padStart(5, "0")}`;
}

/** Normal numbers from a seed, by the method of Box and Muller. */
function noise(seed: number): () => number {
  let state = seed;
  const uniform = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state + 1) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}
