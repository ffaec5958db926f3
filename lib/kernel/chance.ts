/** A source of numbers in [0, 1); the only chance in the product, always seeded. */
export type Chance = () => number;

/**
 * Seeded generator of uniform numbers in [0, 1): the same seed gives the same numbers on every machine.
 *
 * Mulberry32 over a hashed seed (public-domain generator; period 2^32, enough for a Monte Carlo of 1e5 draws).
 */
export function seededChance(seed: string | number): Chance {
  let state = hashOf(String(seed));
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 15), mixed | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** 32-bit FNV-1a hash of a text, with a final mix so that near seeds give unrelated streams. */
export function hashOf(text: string): number {
  let hash = 0x811c9dc5;
  for (let index = 0; index < text.length; index += 1) {
    hash ^= text.charCodeAt(index);
    hash = Math.imul(hash, 0x01000193);
  }
  hash ^= hash >>> 16;
  hash = Math.imul(hash, 0x85ebca6b);
  hash ^= hash >>> 13;
  hash = Math.imul(hash, 0xc2b2ae35);
  return (hash ^ (hash >>> 16)) >>> 0;
}
