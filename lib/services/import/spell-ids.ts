import type { ColumnRule, MappingDraft, Part } from "@/lib/import/mapping/mapping";
import { sourceOf } from "@/lib/import/mapping/sources";
import type { SplitRecord } from "@/lib/import/split-records";

const DISTINCT_ROWS = 2_000;
const DISTINCT_IDS = 50;
const WIDTHS = [undefined, 2, 3, 4] as const;
const JOINTS = ["-", "", ".", "/", "_", " "] as const;

/**
 * A guessed draft whose detector ids are spelled as those that are known, where another filling with zeros or another
 * text between the columns makes more of them known than it does as guessed; else the draft as it is.
 */
export function withSpelledIds(
  draft: MappingDraft,
  {
    columns,
    records,
    known,
  }: { columns: readonly string[]; records: readonly SplitRecord[]; known: ReadonlyMap<string, unknown> },
): MappingDraft {
  const rule = draft.columns.detector_id;
  if (!rule || known.size === 0 || rule.read.as !== "text") return draft;
  const rows = distinctRows(rule, { columns, records });
  const hits = (parts: readonly Part[]) => {
    const source = sourceOf({ ...rule, parts: [...parts] }, columns);
    return rows.filter((cells) => known.has(source.text(cells))).length;
  };
  let best = { parts: rule.parts, hits: hits(rule.parts) };
  if (best.hits === rows.length) return draft;
  for (const parts of spellings(rule.parts)) {
    const found = hits(parts);
    if (found > best.hits) best = { parts: [...parts], hits: found };
  }
  return { ...draft, columns: { ...draft.columns, detector_id: { ...rule, parts: best.parts } } };
}

/** Rows with different ids, as many as tell spellings apart. */
function distinctRows(
  rule: ColumnRule,
  { columns, records }: { columns: readonly string[]; records: readonly SplitRecord[] },
): (readonly string[])[] {
  const source = sourceOf(rule, columns);
  const rows = new Map<string, readonly string[]>();
  for (const { cells, flaw } of records.slice(0, DISTINCT_ROWS)) {
    if (flaw === null) rows.set(source.text(cells), cells);
    if (rows.size >= DISTINCT_IDS) break;
  }
  return [...rows.values()];
}

/** The same columns with each filling of zeros and each text between them; three columns at most, as more take too long. */
function* spellings(parts: readonly Part[]): Generator<readonly Part[]> {
  const names = parts.flatMap((part) => ("column" in part ? [part.column] : []));
  if (names.length === 0 || names.length > 3) return;
  for (const joint of names.length === 1 ? [""] : JOINTS) {
    for (const widths of choices(names.length)) {
      yield names.flatMap((column, index): Part[] => {
        const width = widths[index];
        const own = width === undefined ? { column } : { column, width };
        return index === 0 || joint === "" ? [own] : [{ text: joint }, own];
      });
    }
  }
}

function choices(count: number): (number | undefined)[][] {
  if (count === 0) return [[]];
  return choices(count - 1).flatMap((rest) => WIDTHS.map((width) => [...rest, width]));
}
