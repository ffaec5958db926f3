import { binomialUpper } from "@/lib/statistics/distributions";

/** What is left of the alarms in a window after one bad spell is cut back, by index; `returns`: in two spells or more. */
export type Returning = { readonly kept: readonly number[]; readonly returns: boolean };

// A spell that holds more than chance lets expect one time in five is taken for a bad one.
const VISIBLE = 0.2;

/**
 * Alarms without the excess of one bad spell: a single bad month of one year is no season.
 *
 * Given the alarms inside the window, their spells (years, or passages of the sun) are equally likely. Where the
 * fullest holds more than chance lets expect, it counts for one more than the next; the rest of its alarms are left out.
 *
 * @param spells - for each alarm, the spell it lies in; null outside the window
 * @param possible - how many spells the watch holds, at least 1
 * @returns indices kept, in order
 */
export function withoutBadSpell(spells: readonly (number | null)[], possible: number): Returning {
  const counts = new Map<number, number>();
  for (const spell of spells) if (spell !== null) counts.set(spell, (counts.get(spell) ?? 0) + 1);
  const [fullest, next] = [...counts].sort(([, a], [, b]) => b - a);
  const all = spells.map((_, index) => index);
  if (!fullest) return { kept: all, returns: false };
  const inside = spells.filter((spell) => spell !== null).length;
  const share = 1 / Math.max(possible, counts.size, 2);
  const chance = binomialUpper(fullest[1], { n: inside, p: share }) / share;
  if (next && chance >= VISIBLE) return { kept: all, returns: true };
  let allowed = (next?.[1] ?? 0) + 1;
  const kept = all.filter((index) => {
    if (spells[index] !== fullest[0]) return true;
    allowed -= 1;
    return allowed >= 0;
  });
  return { kept, returns: next !== undefined };
}
