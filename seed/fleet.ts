import { seededChance } from "@/lib/kernel/chance";
import { addDays } from "@/lib/kernel/time";
import type { Access, Form } from "@/lib/records/vocabulary";
import { type Cause, drawTraits, type Traits } from "@/seed/causes";
import { between, pick, pickWeighted, wholeBetween } from "@/seed/draws";
import type { Period } from "@/seed/period";
import { type Country, countries, OPERATOR, type SiteUse, siteUses } from "@/seed/places";
import { leavesOutLastService, type Planting, plantCauses } from "@/seed/planting";
import { sunBearing } from "@/seed/sun-view";

/** A site of the demo portfolio with what only the simulation knows of it. */
export type DemoSite = {
  readonly siteId: string;
  readonly name: string;
  readonly latitude: number;
  readonly longitude: number;
  readonly country: Country;
  readonly use: SiteUse;
  readonly opens: string | null;
  readonly closes: string | null;
  readonly detectorsOnSystem: number;
  /** Minutes past the hour at which it reads its detectors. */
  readonly readingMinute: number;
  readonly sendsTemperature: boolean;
  /** Times of its files are wall times without an offset. */
  readonly wallTimes: boolean;
  /** Day of the year of the yearly service, and years whose service was left out. */
  readonly serviceDayOfYear: number;
  readonly skipsLastService: boolean;
  /** Days of the period in which it sends nothing; null for a site that never falls silent. */
  readonly silentDays: { readonly from: number; readonly to: number } | null;
  readonly detectors: readonly DemoDetector[];
};

/** A detector of the demo portfolio with the cause planted in it. */
export type DemoDetector = {
  readonly detectorId: string;
  readonly label: string;
  readonly form: Form;
  readonly pathLengthM: number;
  readonly heightM: number;
  readonly bearingDeg: number;
  readonly installedOn: string;
  /** First day of the period on which it is in service. */
  readonly firstDay: number;
  readonly alarmThresholdPct: number;
  readonly access: Access;
  readonly zone: string;
  readonly lastServiceOn: string | null;
  readonly sendsCompensation: boolean;
  readonly cause: Cause;
  /** A bad case of its cause. */
  readonly severe: boolean;
  readonly traits: Traits;
};

/** What the fleet is made from; the same options give the same fleet. */
export type FleetOptions = {
  readonly sites: number;
  readonly detectors: number;
  readonly seed: string;
  readonly period: Period;
};

/** The sites and detectors of the demo portfolio. Throws RangeError with fewer than one detector a site. */
export function makeFleet({ sites, detectors, seed, period }: FleetOptions): DemoSite[] {
  if (!(sites >= 1) || detectors < sites) throw new RangeError(`cannot place ${detectors} detectors on ${sites} sites`);
  const sizes = sizesOf({ sites, detectors, seed });
  const uses = sizes.map(
    (_, index) => siteUses[index % siteUses.length] ?? { name: "hall", wet: false, stocked: false },
  );
  const planted = plantCauses({ sizes, uses, seed });
  return sizes.map((size, index) => {
    const use = uses[index] ?? { name: "hall", wet: false, stocked: false };
    return makeSite({ index, sites, size, use, planted: planted[index] ?? [], seed, period });
  });
}

function sizesOf({ sites, detectors, seed }: { sites: number; detectors: number; seed: string }): number[] {
  const chance = seededChance(`${seed}/sizes`);
  const weights = Array.from({ length: sites }, () => between(chance, 0.35, 1.65));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const sizes = weights.map((weight) => 1 + Math.floor(((detectors - sites) * weight) / total));
  let left = detectors - sizes.reduce((sum, size) => sum + size, 0);
  for (let index = 0; left > 0; index = (index + 1) % sites, left -= 1) sizes[index] = (sizes[index] ?? 0) + 1;
  return sizes;
}

type SiteDraw = {
  readonly index: number;
  readonly sites: number;
  readonly size: number;
  readonly use: SiteUse;
  readonly planted: readonly Planting[];
  readonly seed: string;
  readonly period: Period;
};

function makeSite({ index, sites, size, use, planted, seed, period }: SiteDraw): DemoSite {
  const [first, second] = countries;
  if (!first || !second) throw new RangeError("the portfolio needs two countries");
  const inFirst = index < Math.round(sites * first.share);
  const country = inFirst ? first : second;
  const ordinal = inFirst ? index : index - Math.round(sites * first.share);
  const siteId = `${country.code}${String(ordinal + 1).padStart(2, "0")}`;
  const chance = seededChance(`${seed}/${siteId}`);
  const [areaLatitude, areaLongitude] = country.areas[ordinal % country.areas.length] ?? [0, 0];
  const [heads, tails] = country.names;
  const head = heads[ordinal % heads.length] ?? "";
  const tail = tails[(ordinal + Math.floor(ordinal / heads.length)) % tails.length] ?? "";
  const latitude = rounded(areaLatitude + between(chance, -0.12, 0.12), 4);
  const longitude = rounded(areaLongitude + between(chance, -0.12, 0.12), 4);
  const dayShift = chance() < 0.5;
  return {
    siteId,
    name: `${head}${country.join}${tail} ${use.name}`,
    latitude,
    longitude,
    country,
    use,
    opens: dayShift ? "06:00" : null,
    closes: dayShift ? pick(chance, ["18:00", "20:00", "22:00"]) : null,
    detectorsOnSystem: size * wholeBetween(chance, 3, 9) + wholeBetween(chance, 4, 40),
    readingMinute: wholeBetween(chance, 0, 59),
    sendsTemperature: index % 5 !== 3,
    wallTimes: index % 10 === 2 || index % 10 === 6 || index % 10 === 9,
    serviceDayOfYear: wholeBetween(chance, 20, 340),
    skipsLastService: leavesOutLastService(index),
    silentDays: silenceOf(index, { sites, period }),
    detectors: planted.map((planting, slot) =>
      makeDetector({ siteId, slot, planting, latitude, longitude, seed, period }),
    ),
  };
}

/** One site says nothing for five weeks in the middle; another stops for good eleven weeks before the end. */
function silenceOf(index: number, { sites, period }: { sites: number; period: Period }) {
  if (index === Math.floor(sites / 3)) {
    const from = Math.floor(period.days * 0.55);
    return { from, to: Math.min(from + 36, period.days) };
  }
  if (sites > 2 && index === sites - 1) return { from: Math.max(0, period.days - 77), to: period.days };
  return null;
}

type DetectorDraw = {
  readonly siteId: string;
  readonly slot: number;
  readonly planting: Planting;
  readonly latitude: number;
  readonly longitude: number;
  readonly seed: string;
  readonly period: Period;
};

function makeDetector({ siteId, slot, planting, latitude, longitude, seed, period }: DetectorDraw): DemoDetector {
  const { cause } = planting;
  const detectorId = `${siteId}-${String(slot + 1).padStart(3, "0")}`;
  const chance = seededChance(`${seed}/${detectorId}`);
  const reflective = cause === "low_sun" || chance() < 0.7;
  const hall = Math.floor(slot / 8);
  const hallHeightM = 3.2 + 11 * seededChance(`${seed}/${siteId}/hall ${hall}`)() ** 1.6;
  const heightM = rounded(hallHeightM + between(chance, 0, 1), 1);
  const late = cause === "plain" && chance() < 0.08;
  const firstDay = late ? Math.floor(period.days * between(chance, 0.1, 0.92)) : 0;
  const startOn = isoDay(period.startAt);
  const ordinaryBearing = (Math.round(chance() * 4) * 90 + hall * 23 + wholeBetween(chance, -4, 4) + 360) % 360;
  return {
    detectorId,
    label: `Hall ${String.fromCharCode(65 + hall)} beam ${(slot % 8) + 1}`,
    form: reflective ? "reflective" : "end_to_end",
    pathLengthM: wholeBetween(chance, reflective ? 15 : 30, reflective ? 90 : 110),
    heightM,
    bearingDeg: cause === "low_sun" ? sunBearing(chance, { latitude, longitude }) : ordinaryBearing,
    installedOn: late ? addDays(startOn, firstDay) : addDays(startOn, -wholeBetween(chance, 90, 3200)),
    firstDay,
    alarmThresholdPct: pickWeighted(chance, [
      [35, 7],
      [25, 1],
      [50, 2],
    ]),
    access: accessOf(heightM),
    zone: `Zone ${hall + 1}`,
    lastServiceOn: late ? null : addDays(startOn, -wholeBetween(chance, 5, 330)),
    sendsCompensation: cause === "soiling" ? chance() < 0.8 : chance() < 0.6,
    ...planting,
    traits: drawTraits(planting, chance),
  };
}

function accessOf(heightM: number): Access {
  if (heightM < 4.5) return "ladder";
  if (heightM < 8) return "tower";
  return heightM < 13 ? "scissor_lift" : "boom_lift";
}

/** Portfolio name of every site. */
export const PORTFOLIO = OPERATOR;

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

function isoDay(at: number): string {
  return new Date(at).toISOString().slice(0, 10);
}
