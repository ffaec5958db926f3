/** What a number format of a workbook makes of a number. */
export type FormatKind = "number" | "percent" | "date" | "moment" | "time" | "elapsed";

/** Formats that workbooks name by number alone; those not listed show plain numbers. ECMA-376 part 1, 18.8.30. */
const builtIn: ReadonlyMap<number, FormatKind> = new Map<number, FormatKind>([
  ...numbered([9, 10], "percent"),
  ...numbered([14, 15, 16, 17, 27, 28, 29, 30, 31, 36, 50, 51, 52, 53, 54, 57, 58], "date"),
  ...numbered([18, 19, 20, 21, 32, 33, 34, 35, 45, 47, 55, 56], "time"),
  [22, "moment"],
  [46, "elapsed"],
]);

/** The kind of a format, from its number and, where the workbook writes one, its code such as `dd.mm.yyyy hh:mm`. */
export function formatKind(id: number, code: string | null): FormatKind {
  if (code === null) return builtIn.get(id) ?? "number";
  const positive = withoutLiterals(code).split(";")[0] ?? "";
  if (/\[(h+|m+|s+)\]/i.test(positive)) return "elapsed";
  const shape = positive.replace(/\[[^\]]*\]/g, "").replace(/general/gi, "");
  const day = /[dy]|\bm{3,}|g{1,3}e/i.test(shape);
  const clock = /[hs]|am\/pm|a\/p/i.test(shape);
  if (day && clock) return "moment";
  if (day) return "date";
  if (clock) return "time";
  // Months alone: a code of nothing but m is a month, since minutes stand beside hours or seconds.
  if (/m/i.test(shape) && !/[0#?]/.test(shape)) return "date";
  return shape.includes("%") ? "percent" : "number";
}

function withoutLiterals(code: string): string {
  return code.replace(/"[^"]*"|\\.|_.|\*./g, "");
}

function numbered(ids: readonly number[], kind: FormatKind): [number, FormatKind][] {
  return ids.map((id) => [id, kind]);
}
