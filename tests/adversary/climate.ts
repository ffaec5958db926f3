import type { Chance } from "@/lib/kernel/chance";
import { solarPosition } from "@/lib/kernel/sun";
import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";
import { between, normal } from "@/tests/adversary/dice";

/** Places fleets are spread over: latitude, longitude, zone, mean and half swing of the yearly temperature. */
export const places = [
  [51.5, -0.2, "Europe/London", 11, 8],
  [41.2, -8.6, "Europe/Lisbon", 15, 6],
  [59.3, 18, "Europe/Stockholm", 7, 12],
  [52.2, 21, "Europe/Warsaw", 9, 12],
  [40.7, -74.2, "America/New_York", 12, 13],
  [33.5, -112, "America/Phoenix", 23, 11],
  [47.5, -122.2, "America/Los_Angeles", 11, 7],
  [-33.8, 151, "Australia/Sydney", 18, 6],
  [-34.6, -58.5, "America/Argentina/Buenos_Aires", 18, 7],
  [-26.2, 28.1, "Africa/Johannesburg", 16, 6],
  [1.3, 103.8, "Asia/Singapore", 27, 1],
  [35.6, 139.6, "Asia/Tokyo", 16, 10],
  [-41.2, 174.8, "Pacific/Auckland", 13, 5],
] as const;

/** Weather of a site by day of the simulation, the air under the roof as the detector feels it. */
export type Weather = {
  readonly temperatureC: Float64Array;
  /** 1 on a clear day, else 0. */
  readonly clear: Uint8Array;
  /** 0 to 1; high with fog and dew. */
  readonly damp: Float64Array;
};

/** How a site's air behaves. */
export type Climate = {
  readonly meanC: number;
  readonly swingC: number;
  readonly dayC: number;
  readonly clearShare: number;
  /** Day of the year of the warmest time. */
  readonly warmestDay: number;
  readonly south: boolean;
};

/** Weather over days `from` to `until` (excluded), carrying on from a departure from the season. */
export function drawWeather(
  climate: Climate,
  { from, until, yearDayOf, chance, departure = 0 }: WeatherSpan,
): Weather & { readonly departure: number } {
  const length = until - from;
  const temperatureC = new Float64Array(length);
  const clear = new Uint8Array(length);
  const damp = new Float64Array(length);
  let off = departure;
  for (let index = 0; index < length; index += 1) {
    off = 0.8 * off + 1.8 * normal(chance);
    const season = Math.cos((2 * Math.PI * (yearDayOf(from + index) - climate.warmestDay)) / 365.25);
    temperatureC[index] = climate.meanC + climate.swingC * season + off;
    clear[index] = chance() < climate.clearShare * (0.8 + 0.3 * season) ? 1 : 0;
    damp[index] = Math.min(1, Math.max(0, 0.45 - 0.25 * season + 0.25 * normal(chance)));
  }
  return { temperatureC, clear, damp, departure: off };
}

type WeatherSpan = {
  readonly from: number;
  readonly until: number;
  readonly yearDayOf: (day: number) => number;
  readonly chance: Chance;
  readonly departure?: number;
};

/** A climate around a place's usual figures. */
export function drawClimate(
  { latitude, meanC, swingC }: { latitude: number; meanC: number; swingC: number },
  chance: Chance,
): Climate {
  return {
    meanC: meanC + between(chance, -1, 4),
    swingC: swingC * between(chance, 0.8, 1.2),
    dayC: between(chance, 1, 6),
    clearShare: between(chance, 0.3, 0.75),
    warmestDay: latitude < 0 ? 20 : 203,
    south: latitude < 0,
  };
}

const BLOCK_DAYS = 5;
const STEP_MIN = 10;

/** Moments at which the sun stands near a receiver's view, as minutes of the UTC day, by blocks of five days. */
export type Glare = { readonly minutes: readonly (readonly number[])[]; readonly perYear: number };

/** The sun over a site through a year: positions by five-day block, those above 30 degrees left out. */
export function sunTable({ latitude, longitude }: { latitude: number; longitude: number }) {
  const yearStart = Date.UTC(2025, 0, 1);
  const blocks: { minute: number; azimuthDeg: number; elevationDeg: number }[][] = [];
  for (let block = 0; block * BLOCK_DAYS < 366; block += 1) {
    const dayAt = yearStart + block * BLOCK_DAYS * DAY_MS;
    const rows: { minute: number; azimuthDeg: number; elevationDeg: number }[] = [];
    for (let minute = 0; minute < 1440; minute += STEP_MIN) {
      const position = solarPosition(dayAt + minute * MINUTE_MS, { latitude, longitude });
      if (position.elevationDeg > 0 && position.elevationDeg < 30) rows.push({ minute, ...position });
    }
    blocks.push(rows);
  }
  return blocks;
}

/** When the sun blinds a receiver that looks along `viewDeg`: within `widthDeg`, below `highestDeg`. */
export function glareOf(
  table: ReturnType<typeof sunTable>,
  { viewDeg, widthDeg, highestDeg }: { viewDeg: number; widthDeg: number; highestDeg: number },
): Glare {
  const minutes = table.map((rows) =>
    rows
      .filter(({ azimuthDeg, elevationDeg }) => {
        const turn = Math.abs(((azimuthDeg - viewDeg + 540) % 360) - 180);
        return turn <= widthDeg && elevationDeg > 1 && elevationDeg <= highestDeg;
      })
      .map(({ minute }) => minute),
  );
  return { minutes, perYear: minutes.reduce((sum, list) => sum + list.length * STEP_MIN * BLOCK_DAYS, 0) };
}

/** Glare moments of a day of the year. */
export function glareOn(glare: Glare, yearDay: number): readonly number[] {
  return glare.minutes[Math.floor(yearDay / BLOCK_DAYS) % glare.minutes.length] ?? [];
}

/** Minutes one glare moment stands for. */
export const GLARE_STEP_MIN = STEP_MIN;
