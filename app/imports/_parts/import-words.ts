import type { Format } from "@/app/_parts/format";
import { counted } from "@/app/_parts/words";
import type { ImportFileView } from "@/lib/services/show-import";

/** What became of the rows of a file, in words; parts without rows are left out. */
export function outcomeWords(file: ImportFileView, format: Format): string {
  if (file.failure) return `not read: ${file.failure.reason}`;
  const count = (number: number, words: string) => (number > 0 ? `${format.number(number)} ${words}` : null);
  const parts = [
    `${counted(file.rows, "row", { write: format.number })}`,
    `${format.number(file.accepted)} accepted`,
    count(file.replaced, "replaced stored ones"),
    count(file.duplicates, "there already"),
    count(file.conflicts, "in conflict"),
    count(file.refused, "refused"),
    count(file.waiting, "waiting"),
  ];
  return parts.filter((part) => part !== null).join(", ");
}

/** Names and values of a stored or sent row. */
export function valuesWords(values: Readonly<Record<string, string | number | boolean | null>>): string {
  return Object.entries(values)
    .map(([name, value]) => `${name} ${value ?? "empty"}`)
    .join(", ");
}
