import type { Chance } from "@/lib/kernel/chance";
import { DAY_MS } from "@/lib/kernel/units";
import { normal } from "@/seed/draws";
import { type Period, STEPS_PER_DAY } from "@/seed/period";
import type { Country } from "@/seed/places";

/** Weather of a site: air under the roof at each reading step, outdoor minimum of each day, degrees C. */
export type Climate = { readonly roofC: Float32Array; readonly outdoorMinC: Float32Array };

/** Weather spells of a country: one AR(1) deviation a day in degrees C, shared by its sites. */
export function weatherSpells(chance: Chance, { days, spellC }: { days: number; spellC: number }): Float32Array {
  const spells = new Float32Array(days);
  let spell = 0;
  for (let day = 0; day < days; day += 1) {
    spell = 0.82 * spell + spellC * Math.sqrt(1 - 0.82 ** 2) * normal(chance);
    spells[day] = spell;
  }
  return spells;
}

/** Weather of one site from its country's spells; colder further north, coldest about 03 h UTC, warmest about 15 h. */
export function climateOf(
  chance: Chance,
  { period, country, latitude, spells }: { period: Period; country: Country; latitude: number; spells: Float32Array },
): Climate {
  const roofC = new Float32Array(period.steps);
  const outdoorMinC = new Float32Array(period.days);
  const { meanC, yearC, dayC } = country.weather;
  const areaLatitude = country.areas[0]?.[0] ?? latitude;
  for (let day = 0; day < period.days; day += 1) {
    const yearTurn = (2 * Math.PI * (dayOfYear(period.startAt + day * DAY_MS) - 205)) / 365.25;
    const mean = meanC - 0.7 * (latitude - areaLatitude) + yearC * Math.cos(yearTurn) + (spells[day] ?? 0);
    const swing = dayC * (1 + 0.35 * Math.cos(yearTurn)) * (0.6 + 0.8 * chance());
    outdoorMinC[day] = mean - swing;
    for (let slot = 0; slot < STEPS_PER_DAY; slot += 1) {
      const sun = [-1, -0.15, 1, 0.1][slot] ?? 0;
      const roof = country.indoorBaseC + country.coupling * (mean - country.indoorBaseC) + 0.9 * swing * sun;
      roofC[day * STEPS_PER_DAY + slot] = roof + 0.3 * (chance() - 0.5);
    }
  }
  return { roofC, outdoorMinC };
}

/** Day of the UTC year, 1..366. */
export function dayOfYear(at: number): number {
  return 1 + Math.floor((at - Date.UTC(new Date(at).getUTCFullYear(), 0, 1)) / DAY_MS);
}
