import type { Json } from "./json";

/** What our code gives for one case, to be held against `expected`; only keys of `expected` are compared. */
export type Evaluated = {
  readonly id: string;
  readonly expected: Json;
  readonly actual: unknown;
  readonly tolerance: number;
  readonly relative?: boolean;
  /** Keys of `expected` that hold no figure of ours (notes, other programs' variants), with the reason beside the kind. */
  readonly skip?: readonly string[];
};

/** One compared figure: its error as a multiple of the tolerance; above 1 it fails. */
export type Compared = {
  readonly path: string;
  readonly expected: Json;
  readonly actual: unknown;
  readonly strain: number;
};

/** Compares every figure of a case; a figure we do not give counts as failed. */
export function compareCase({ expected, actual, tolerance, relative = false, skip = [] }: Evaluated): Compared[] {
  const found: Compared[] = [];
  const walk = (wanted: Json, got: unknown, path: string) => {
    if (Array.isArray(wanted) && Array.isArray(got)) {
      const strain = wanted.length === got.length ? 0 : Infinity;
      if (strain > 0 || wanted.length === 0) {
        found.push({ path: `${path}.length`, expected: wanted.length, actual: got.length, strain });
      }
      for (const [i, value] of wanted.entries()) walk(value, got[i], `${path}[${i}]`);
    } else if (Array.isArray(got) && got.length <= 1) {
      // A list of one is written as its only value, an empty one as null, by the program that made the files.
      walk(wanted, got[0], path);
    } else if (wanted !== null && typeof wanted === "object" && !Array.isArray(wanted)) {
      for (const [key, value] of Object.entries(wanted)) {
        if (!skip.includes(key))
          walk(value, (got as Record<string, unknown> | null | undefined)?.[key], `${path}.${key}`);
      }
    } else {
      found.push({ path, expected: wanted, actual: got, strain: strainOf(wanted, got, tolerance, relative) });
    }
  };
  walk(expected, actual, "");
  return found;
}

function strainOf(wanted: Json, got: unknown, tolerance: number, relative: boolean): number {
  if (wanted === null) return got === null || got === undefined ? 0 : Infinity;
  const target = wanted === "Infinity" ? Infinity : wanted;
  if (Object.is(target, got) || target === got) return 0;
  if (typeof target !== "number" || typeof got !== "number" || Number.isNaN(got)) return Infinity;
  const error = Math.abs(target - got);
  return error / (relative ? Math.abs(target) * tolerance : tolerance);
}
