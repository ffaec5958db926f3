import type { Format } from "@/app/_parts/format";
import { counted } from "@/app/_parts/words";
import type { FileDescription, FileForm } from "@/lib/services/describe-file";

const encodingWords = {
  "utf-8": "UTF-8",
  "utf-16le": "UTF-16",
  "utf-16be": "UTF-16",
  "windows-1252": "Windows-1252",
} as const;

/** Separators by name. */
export const separatorWords = { ",": "commas", ";": "semicolons", "\t": "tabs", "|": "upright bars" } as const;

/** How a file is written, in words. */
export function formWords(form: Omit<FileForm, "note" | "sheets">): string {
  const parts = [
    form.form === "workbook" ? `workbook, sheet “${form.sheet ?? ""}”` : null,
    form.form === "json_lines" ? "JSON lines" : null,
    form.separator === null ? null : `text separated by ${separatorWords[form.separator]}`,
    form.encoding === null ? null : encodingWords[form.encoding],
    form.headerLine === 0 && form.form !== "json_lines" ? "no line names the columns" : null,
    form.headerLine > 1 ? `columns named in ${form.form === "workbook" ? "row" : "line"} ${form.headerLine}` : null,
    form.packed ? "packed by gzip" : null,
  ];
  return parts.filter((part) => part !== null).join(", ");
}

/** How many rows were looked at. */
export function seenWords({ rows, whole }: FileDescription["seen"], format: Format): string {
  const count = counted(rows, "row", { write: format.number });
  return whole ? count : `the first ${count}`;
}

/** Why a file stands as it does, in a sentence; questions and words come apart. */
export function reasonWords({ state, by, saved, fitting, flaw, missing }: FileDescription): string {
  if (state === "unreadable") return `It ${flaw ?? "cannot be read"}.`;
  if (by === "own_columns") return "It has our own columns.";
  if (by === "saved" && saved)
    return `Read by “${saved.name}”, version ${saved.version}, made for files with these columns.`;
  if (by === "chosen") return saved ? `Read by “${saved.name}”, version ${saved.version}.` : "Read as you set it.";
  const open =
    missing.length > 0
      ? ` It does not say yet which of its columns ${listed(missing)} ${missing.length === 1 ? "is" : "are"}.`
      : "";
  if (by === "draft") return `What you changed is kept, but not settled yet.${open}`;
  const choice =
    fitting.length > 1 ? ` The saved mappings ${listed(fitting.map((name) => `“${name}”`))} fit them: choose one.` : "";
  return `Its columns are not ours: see whether we understood them.${choice}${open}`;
}

/** Names with commas, and `and` before the last. */
export function listed(names: readonly string[]): string {
  const last = names.at(-1) ?? "";
  return names.length < 2 ? last : `${names.slice(0, -1).join(", ")} and ${last}`;
}

/** A sentence of what stands as a part of one: a capital first, a stop last. */
export function sentence(text: string): string {
  const trimmed = text.trim().replace(/\.$/, "");
  return `${trimmed.charAt(0).toUpperCase()}${trimmed.slice(1)}.`;
}
