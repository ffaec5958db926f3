import { seededChance } from "@/lib/kernel/chance";
import { type Cause, plantedPer1200 } from "@/seed/causes";
import { shuffled } from "@/seed/draws";
import type { SiteUse } from "@/seed/places";

/** What is planted in one place; `severe` is a bad case, of which a fleet has a handful. */
export type Planting = { readonly cause: Cause; readonly severe: boolean };

/** What is planted in a place that nothing was planted in. */
export const ordinary: Planting = { cause: "plain", severe: false };

/** Severe cases of a cause for every 1,200 detectors, side by side on one site. */
const severePer1200 = { loose_mount: 4, soiling: 3 } as const;

/** Whether a site, by its number, left out its last yearly service. */
export function leavesOutLastService(index: number): boolean {
  return index % 64 === 4;
}

/**
 * Deals causes to the places of each site: steam only to wet halls, seasonal stock only to stocked ones.
 *
 * The severe cases stand together: mounts that will not hold in one hall, dirt near its limit on a site whose last
 * service was left out.
 */
export function plantCauses({
  sizes,
  uses,
  seed,
}: {
  sizes: readonly number[];
  uses: readonly SiteUse[];
  seed: string;
}): Planting[][] {
  const chance = seededChance(`${seed}/causes`);
  const places = shuffled(
    chance,
    sizes.flatMap((size, site) => Array.from({ length: size }, (_, slot) => ({ site, slot }))),
  );
  const dealt = sizes.map((size) => Array.from({ length: size }, () => ordinary));
  const severe = plantSevere(dealt, { detectors: places.length, firstSite: places[0]?.site ?? 0 });
  const order = ["steam", "seasonal_stock", "soiling", "thermal_movement", "loose_mount", "low_sun"] as const;
  for (const cause of [...order, "insects", "ageing", "bad_luck"] as const) {
    let wanted = countFor(plantedPer1200[cause], places.length) - (severe.get(cause) ?? 0);
    for (const { site, slot } of places) {
      const use = uses[site];
      const fits = cause === "steam" ? use?.wet : cause === "seasonal_stock" ? use?.stocked : true;
      const row = dealt[site];
      if (wanted <= 0 || !fits || !row || row[slot] !== ordinary) continue;
      row[slot] = { cause, severe: false };
      wanted -= 1;
    }
  }
  return dealt;
}

function plantSevere(
  dealt: readonly Planting[][],
  { detectors, firstSite }: { detectors: number; firstSite: number },
): Map<Cause, number> {
  const unserved = dealt.findIndex((_, index) => leavesOutLastService(index));
  const looseHall = firstSite === unserved ? (firstSite + 1) % dealt.length : firstSite;
  const planted = new Map<Cause, number>();
  const plant = (cause: keyof typeof severePer1200, row: Planting[] | undefined) => {
    const count = Math.min(countFor(severePer1200[cause], detectors), row?.length ?? 0);
    row?.fill({ cause, severe: true }, 0, count);
    planted.set(cause, count);
  };
  plant("loose_mount", dealt[looseHall]);
  plant("soiling", dealt[unserved]);
  return planted;
}

function countFor(per1200: number, detectors: number): number {
  return Math.ceil((per1200 * detectors) / 1200);
}
