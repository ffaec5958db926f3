import { fleetQuality } from "@/lib/analyse/quality/fleet-quality";
import type { QualityCheck, QualityKind, SiteQuality } from "@/lib/analyse/quality/quality";
import { type ReadingTrace, traceReadings } from "@/lib/analyse/quality/reading-trace";
import type { ShiftedFile } from "@/lib/analyse/quality/shifted-values";
import type { ImportSpan } from "@/lib/analyse/quality/subject";
import { summariseSignal } from "@/lib/analyse/signal-summary";
import { type Chance, seededChance } from "@/lib/kernel/chance";
import { offsetMsAt } from "@/lib/kernel/time";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";
import type { Event } from "@/lib/records/event";
import type { ReadingSeries } from "@/lib/records/reading";
import type { Work } from "@/lib/records/work";
import { defaultSettings } from "@/lib/settings/settings";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeSite } from "@/tests/fixtures/records";

/** Start of the simulated records; as-of is `days` later. */
export const FROM = at("2024-01-01");

/** How a healthy site records. */
export type SiteHabit = {
  readonly seed: string;
  readonly detectors?: number;
  readonly days?: number;
  readonly stepMin?: number;
  /** By which clock its logger starts readings: the same minute all year in UTC or on the wall. */
  readonly keeps?: "utc" | "wall";
  readonly zone?: string;
  /** Readings start up to so much late. */
  readonly jitterMin?: number;
  readonly resolutionPct?: number;
  readonly noisePct?: number;
  readonly temperature?: boolean;
  readonly lost?: number;
};

/** A reading before it is put into a series. */
export type Raw = { at: number; signal: number; temperature: number };
/** Readings of one detector and its number. */
export type Change = (readings: Raw[], detector: number) => Raw[];

/** Readings of a healthy site, by detector: dirt, heat, weather, noise, a yearly clean (see {@link healthyWork}). */
export function healthyReadings(habit: SiteHabit): Raw[][] {
  const { seed, detectors = 6, days = 500 } = habit;
  const weather = weatherOf(seededChance(`${seed} weather`), days);
  return Array.from({ length: detectors }, (_, detector) =>
    readingsOf(habit, { weather, chance: seededChance(`${seed} ${detector}`) }),
  );
}

/** The cleans behind {@link healthyReadings}. */
export function healthyWork({ detectors = 6, days = 500 }: SiteHabit): Work[] {
  return Array.from({ length: detectors }, (_, detector) =>
    cleanDays(days).map(
      (day): Work => ({
        detectorId: `D${detector}`,
        doneAt: FROM + day * DAY_MS + 10 * 60 * MINUTE_MS,
        task: "clean",
        result: null,
        signalBeforePct: null,
        signalAfterPct: null,
        durationMin: 20,
        reactive: false,
        told: null,
        interim: null,
        note: null,
      }),
    ),
  ).flat();
}

/** The quality of a simulated site after what was changed in it. */
export function qualityOf(
  habit: SiteHabit,
  {
    change = (readings) => readings,
    work = healthyWork(habit),
    events = [],
    imports = [],
    shiftedFiles = [],
    silentDetectors = [],
  }: {
    change?: Change;
    work?: readonly Work[];
    events?: readonly Event[];
    imports?: readonly ImportSpan[];
    shiftedFiles?: readonly ShiftedFile[];
    silentDetectors?: readonly string[];
  } = {},
): SiteQuality {
  const { days = 500, zone = "Europe/Helsinki" } = habit;
  const asOf = FROM + days * DAY_MS;
  const series = new Map(
    healthyReadings(habit).map((readings, detector) => [
      `D${detector}`,
      seriesOf(change(readings, detector).filter((one) => one.at < asOf)),
    ]),
  );
  const ids = [...series.keys(), ...silentDetectors];
  const site = makeSite({ timeZone: zone, latitude: 60, longitude: 25 });
  const detectors = ids.map((detectorId) => makeDetector({ detectorId, installedOn: "2023-12-01" }));
  const history = makeHistory({ asOf, records: { sites: [site], detectors, work, events }, series });
  const traces = new Map<string, ReadingTrace>();
  for (const [detectorId, one] of series) {
    const summary = summariseSignal(one, { asOf, silentAfterHours: defaultSettings().silentAfterHours });
    if (summary) traces.set(detectorId, traceReadings(one, summary));
  }
  const answer = fleetQuality(history, {
    traces,
    imports: new Map([["S1", imports]]),
    shiftedFiles: new Map([["S1", shiftedFiles]]),
  }).get("S1");
  if (!answer) throw new Error("the site is missing");
  return answer;
}

/** One check of an answer. */
export function checkIn({ checks }: SiteQuality, kind: QualityKind): QualityCheck {
  const found = checks.find((check) => check.kind === kind);
  if (!found) throw new Error(`no check ${kind}`);
  return found;
}

/** Readings as columns, oldest first, one at a time. */
export function seriesOf(readings: readonly Raw[]): ReadingSeries {
  const byTime = new Map(readings.map((one) => [one.at, one]));
  const sorted = [...byTime.values()].sort((a, b) => a.at - b.at);
  return {
    readAt: Float64Array.from(sorted, (one) => one.at),
    signalPct: Float64Array.from(sorted, (one) => one.signal),
    compensationPct: new Float64Array(sorted.length).fill(Number.NaN),
    temperatureC: Float64Array.from(sorted, (one) => one.temperature),
  };
}

function readingsOf(
  { days = 500, stepMin = 60, keeps = "utc", zone = "Europe/Helsinki", ...habit }: SiteHabit,
  { weather, chance }: { weather: readonly Weather[]; chance: Chance },
): Raw[] {
  const { jitterMin = 0, resolutionPct = 0.1, noisePct = 0.5, temperature = true, lost = 0.004 } = habit;
  const offsetMin = Math.floor(chance() * Math.min(stepMin, 20));
  const thermal = (chance() - 0.5) * 0.4;
  const readings: Raw[] = [];
  for (let minute = offsetMin; minute < days * 1440; minute += stepMin) {
    if (chance() < lost) continue;
    const planned = FROM + minute * MINUTE_MS;
    const onGrid = keeps === "utc" ? planned : planned - offsetMsAt(planned, zone);
    const at = Math.round(onGrid + jitterMin * chance() * MINUTE_MS);
    const degrees = temperatureAt(planned, weather);
    const day = (planned - FROM) / DAY_MS;
    const dirty = day - (cleanDays(days).findLast((one) => one <= day) ?? -100);
    const noise = noisePct * (chance() + chance() + chance() - 1.5);
    const signal = 100 - 0.012 * dirty + thermal * (degrees - 12) + noise;
    readings.push({
      at,
      signal: Math.round(signal / resolutionPct) * resolutionPct,
      temperature: temperature ? Math.round(10 * (degrees + chance() - 0.5)) / 10 : Number.NaN,
    });
  }
  return readings;
}

type Weather = { readonly mean: number; readonly swing: number };

// Cloudy and clear spells of some days, fronts, and a year about them.
function weatherOf(chance: Chance, days: number): Weather[] {
  let front = 0;
  let clear = 0.5;
  return Array.from({ length: days + 2 }, (_, day) => {
    front = 0.8 * front + 3 * (chance() + chance() - 1);
    clear = 0.7 * clear + 0.3 * chance();
    const season = Math.cos((2 * Math.PI * (day - 200)) / 365.25);
    return { mean: 12 + 9 * season + front, swing: Math.max(0.4, (3 + 2 * season) * (0.2 + 1.2 * clear)) };
  });
}

function temperatureAt(at: number, weather: readonly Weather[]): number {
  const days = (at - FROM) / DAY_MS;
  const day = Math.max(0, Math.floor(days));
  const part = days - day;
  const today = weather[day] ?? { mean: 12, swing: 2 };
  const next = weather[day + 1] ?? today;
  const mean = today.mean + (next.mean - today.mean) * part;
  // Warmest at 13 h UTC, whatever the wall clock says.
  return mean + today.swing * Math.cos(2 * Math.PI * (part - 13 / 24));
}

function cleanDays(days: number): number[] {
  return [120, 480, 840].filter((day) => day < days);
}
