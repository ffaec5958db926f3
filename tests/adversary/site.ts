import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS } from "@/lib/kernel/units";
import type { Detector } from "@/lib/records/detector";
import type { Site } from "@/lib/records/site";
import { accessKinds } from "@/lib/records/vocabulary";
import { type Climate, drawClimate, drawWeather, places, sunTable, type Weather } from "@/tests/adversary/climate";
import { between, pick } from "@/tests/adversary/dice";
import { drawTraits, type Traits } from "@/tests/adversary/traits";

/** A site with what is hidden about it: its habits, its weather and its detectors. */
export type HiddenSite = {
  readonly site: Site;
  readonly climate: Climate;
  readonly weather: Weather & { readonly departure: number };
  readonly habits: Habits;
  readonly members: readonly { readonly detector: Detector; readonly traits: Traits; readonly hasReadings: boolean }[];
};

/** How a site keeps its records and its service. */
export type Habits = {
  readonly wrongWords: number;
  readonly missing: number;
  readonly wholePercent: boolean;
  readonly noise: number;
  readonly hasTemperature: boolean;
  readonly hasCompensation: boolean;
  readonly hasReadings: boolean;
  /** Days of service rounds. */
  readonly rounds: readonly number[];
  /** Days from and until which nothing came from the site. */
  readonly silences: readonly { readonly from: number; readonly until: number }[];
};

/** The span all sites share. */
export type Span = {
  readonly startAt: number;
  readonly days: number;
  readonly horizonDays: number;
  readonly quiet: boolean;
  readonly yearDayOf: (day: number) => number;
};

const environments = [null, "cold store", "timber yard", "textile hall", "parcel hub", "brewery", "atrium", "hangar"];

/** A site with `size` detectors, numbered from `first`. */
export function drawSite(
  chance: Chance,
  { index, first, size, span }: { index: number; first: number; size: number; span: Span },
): HiddenSite {
  const [latitude0, longitude0, timeZone, meanC, swingC] = pick(chance, places);
  const latitude = latitude0 + between(chance, -0.8, 0.8);
  const longitude = longitude0 + between(chance, -0.8, 0.8);
  const climate = drawClimate({ latitude, meanC, swingC }, chance);
  const total = span.days + span.horizonDays;
  const weather = drawWeather(climate, { from: 0, until: total, yearDayOf: span.yearDayOf, chance });
  const siteId = `P${String(index).padStart(3, "0")}`;
  const site: Site = {
    siteId,
    name: `Works ${index}`,
    latitude,
    longitude,
    timeZone,
    portfolio: null,
    currency: null,
    opens: chance() < 0.5 ? "07:00" : null,
    closes: null,
    detectorsOnSystem: chance() < 0.5 ? size * 5 : null,
  };
  const common = {
    compensated: chance() < 0.55,
    dirt: between(chance, 0.5, 2),
    sun: span.quiet ? [] : sunTable(site),
    works: chance() < 0.2 ? { from: Math.floor(between(chance, 30, span.days - 40)), share: 0.4 } : null,
  };
  const environment = pick(chance, [null, ...environments]);
  const members = Array.from({ length: size }, (_, place) => {
    const late = chance() < 0.12;
    const bornDay = late ? Math.floor(between(chance, 60, span.days - 45)) : -1;
    const detector = drawDetector(chance, { place: first + place, siteId, bornDay, span, environment });
    const viewDeg = detector.form === "end_to_end" && chance() < 0.5 ? detector.bearingDeg + 180 : detector.bearingDeg;
    const traits = drawTraits(chance, {
      ...common,
      days: span.days,
      quiet: span.quiet,
      alarmThresholdPct: detector.alarmThresholdPct,
      viewDeg,
      meanC: climate.meanC,
      bornDay,
    });
    return { detector, traits, hasReadings: chance() > 0.06 };
  });
  return { site, climate, weather, habits: drawHabits(chance, span), members };
}

function drawDetector(
  chance: Chance,
  at: { place: number; siteId: string; bornDay: number; span: Span; environment: string | null },
): Detector {
  const installedAt =
    at.bornDay < 0 ? at.span.startAt - between(chance, 30, 3000) * DAY_MS : at.span.startAt + at.bornDay * DAY_MS;
  return {
    detectorId: `B${String(at.place).padStart(5, "0")}`,
    siteId: at.siteId,
    label: `Beam ${at.place}`,
    form: chance() < 0.6 ? "reflective" : "end_to_end",
    pathLengthM: Math.round(between(chance, 12, 100)),
    heightM: Math.round(between(chance, 4, 22)),
    bearingDeg: Math.floor(360 * chance()),
    installedOn: new Date(installedAt).toISOString().slice(0, 10),
    alarmThresholdPct: pick(chance, [25, 35, 35, 50]),
    access: pick(chance, accessKinds),
    zone: null,
    environment: at.environment,
    lastServiceOn: null,
  };
}

function drawHabits(chance: Chance, { days }: Span): Habits {
  const interval = chance() < 0.6 ? 182 : 365;
  const rounds: number[] = [];
  for (let day = interval * chance(); day < days - 1; day += interval) {
    rounds.push(Math.max(0, Math.min(days - 1, Math.floor(day + between(chance, -18, 18)))));
  }
  const silences = Array.from({ length: chance() < 0.25 ? 1 + Math.floor(2 * chance()) : 0 }, () => {
    const from = Math.floor(between(chance, 20, days - 80));
    return { from, until: from + Math.floor(between(chance, 12, 45)) };
  });
  return {
    wrongWords: between(chance, 0.1, 0.2),
    missing: between(chance, 0, 0.12),
    wholePercent: chance() < 0.35,
    noise: between(chance, 0.3, 1.2),
    hasTemperature: chance() < 0.7,
    hasCompensation: chance() < 0.85,
    hasReadings: chance() < 0.93,
    rounds,
    silences,
  };
}
