import type { Format } from "@/app/_parts/format";
import { counted } from "@/app/_parts/words";
import { formWords } from "@/app/imports/_parts/upload/description-words";
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
    count(file.leftOut, "left out as its mapping says"),
  ];
  return parts.filter((part) => part !== null).join(", ");
}

/** How a file was read, in words: its form, and the mapping; null when nothing was kept of it. */
export function readWords({ format, mapping }: ImportFileView): string | null {
  const parts = [
    format ? formWords(format) : null,
    mapping ? `by the mapping “${mapping.name}”, version ${mapping.version}` : null,
  ].filter((part) => part !== null);
  return parts.length === 0 ? null : `Read as ${parts.join(", ")}.`.replace("Read as by", "Read by");
}

/** Names and values of a stored or sent row. */
export function valuesWords(values: Readonly<Record<string, string | number | boolean | null>>): string {
  return Object.entries(values)
    .map(([name, value]) => `${name} ${value ?? "empty"}`)
    .join(", ");
}
