import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

const page = fileURLToPath(new URL("../../docs/calibration.md", import.meta.url));

/** Puts text between the marks of a section of the calibration page. @throws RangeError when the page has no such marks */
export function writeSection(name: string, text: string): void {
  const before = readFileSync(page, "utf8");
  const [start, end] = [`<!-- made by bench ${name} -->`, `<!-- end of bench ${name} -->`];
  const [from, until] = [before.indexOf(start), before.indexOf(end)];
  if (from < 0 || until < from) throw new RangeError(`no section ${name} in ${page}`);
  writeFileSync(page, `${before.slice(0, from + start.length)}\n\n${text.trim()}\n\n${before.slice(until)}`);
}

/** A Markdown table. */
export function tableOf(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  return [line(head), `|${head.map(() => "---").join("|")}|`, ...rows.map(line)].join("\n");
}

/** A share as per cent, "-" where there is none. */
export function perCent(share: number | null, digits = 1): string {
  return share === null ? "-" : `${(100 * share).toFixed(digits)} %`;
}

/** A figure with three decimals, none from 100 on, "-" where there is none. */
export function figure(value: number | null): string {
  if (value === null || !Number.isFinite(value)) return "-";
  return Math.abs(value) >= 100 ? value.toFixed(0) : value.toFixed(3);
}
