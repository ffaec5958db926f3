import { gzipSync } from "node:zlib";
import type { Chance } from "@/lib/kernel/chance";
import { below, pick } from "./fuzz-cells";
import type { FuzzTable } from "./fuzz-table";

/** A way to write a table as bytes. */
export type Dialect = {
  readonly form: "separated" | "json_lines";
  readonly encoding: "utf-8" | "utf-8 with mark" | "utf-16le" | "utf-16be";
  readonly separator: "," | ";" | "\t" | "|";
  readonly lineEnd: "\n" | "\r\n";
  readonly quoteAll: boolean;
  readonly packed: boolean;
  readonly endsOpen: boolean;
};

/** A way to write, drawn by chance; the plain one half of the time. */
export function fuzzDialect(chance: Chance): Dialect {
  const plain = chance() < 0.5;
  return {
    form: !plain && chance() < 0.15 ? "json_lines" : "separated",
    encoding: plain ? "utf-8" : pick(chance, ["utf-8", "utf-8 with mark", "utf-16le", "utf-16be"]),
    separator: plain ? "," : pick(chance, [",", ";", "\t", "|"]),
    lineEnd: pick(chance, ["\n", "\r\n"]),
    quoteAll: chance() < 0.2,
    packed: !plain && chance() < 0.15,
    endsOpen: chance() < 0.3,
  };
}

/** The bytes of a table written in a dialect: columns in an order of their own, unknown ones among them, blank lines between. */
export function written(table: FuzzTable, { chance, dialect }: { chance: Chance; dialect: Dialect }): Buffer {
  const columns = table.columns.toSorted(() => chance() - 0.5);
  const extra = chance() < 0.2 ? [...columns, "panel_text"] : columns;
  const text = dialect.form === "json_lines" ? jsonLines(table, dialect) : separated(table, { chance, dialect, extra });
  const bytes = encoded(text, dialect.encoding);
  return dialect.packed ? gzipSync(bytes, { level: 1 }) : bytes;
}

function separated(
  table: FuzzTable,
  { chance, dialect, extra }: { chance: Chance; dialect: Dialect; extra: readonly string[] },
): string {
  const { separator, lineEnd, quoteAll, endsOpen } = dialect;
  const cell = (text: string) =>
    quoteAll || text.includes(separator) || /["\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  const header = extra.map((name) => (chance() < 0.1 ? ` ${name.toUpperCase()} ` : name));
  const lines = [header.map(cell).join(separator)];
  for (const { cells } of table.rows) {
    if (chance() < 0.03) lines.push("");
    lines.push(extra.map((name) => cell(cells[name] ?? "x")).join(separator));
  }
  return lines.join(lineEnd) + (endsOpen ? "" : lineEnd.repeat(1 + below(chance, 2)));
}

function jsonLines(table: FuzzTable, { lineEnd, endsOpen }: Dialect): string {
  const lines = table.rows.map(({ cells }) => JSON.stringify(cells));
  return lines.join(lineEnd) + (endsOpen ? "" : lineEnd);
}

function encoded(text: string, encoding: Dialect["encoding"]): Buffer {
  if (encoding === "utf-8") return Buffer.from(text, "utf8");
  if (encoding === "utf-8 with mark") return Buffer.from(`\ufeff${text}`, "utf8");
  const bytes = Buffer.from(`\ufeff${text}`, "utf16le");
  return encoding === "utf-16le" ? bytes : bytes.swap16();
}
