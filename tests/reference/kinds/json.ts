/** A parsed JSON value. */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/** The value under a dotted path, undefined where a key is missing. */
export function at(json: Json | undefined, path: string): Json | undefined {
  let here = json;
  for (const key of path.split(".")) {
    if (here === null || typeof here !== "object") return undefined;
    here = (here as Record<string, Json>)[key];
  }
  return here;
}

/** The number under a path; the text "Infinity" is read as such. Fails when there is none. */
export function numberAt(json: Json | undefined, path: string): number {
  const value = at(json, path);
  if (value === "Infinity") return Infinity;
  if (typeof value !== "number") throw new Error(`no number at ${path}: ${JSON.stringify(value)}`);
  return value;
}

/** The list under a path; a single value is a list of one, a missing one or null an empty list. */
export function listAt(json: Json | undefined, path: string): readonly Json[] {
  const value = at(json, path);
  if (value === undefined || value === null) return [];
  return Array.isArray(value) ? (value as readonly Json[]) : [value];
}

/** The list of numbers under a path, read as `listAt`. */
export function numbersAt(json: Json | undefined, path: string): number[] {
  return listAt(json, path).map((value) => numberAt({ value }, "value"));
}

/** The cases of a file: its `cases`, or the whole file as one. */
export function casesOf(json: Json): readonly Json[] {
  return at(json, "cases") === undefined ? [json] : listAt(json, "cases");
}
