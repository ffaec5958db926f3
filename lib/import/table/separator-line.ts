import { type Separator, separators } from "@/lib/import/table/table-format";

/**
 * The separator that a first line such as `sep=;` names, as spreadsheets write it; `null` for one that we do not know.
 *
 * Undefined when the line is no such line, and so belongs to the table.
 */
export function separatorLine(line: string): Separator | null | undefined {
  const named = /^"?sep=(.)"?\s*$/i.exec(line)?.[1];
  return named === undefined ? undefined : (separators.find((separator) => separator === named) ?? null);
}
