/**
 * How the first lines of a text are JSON: objects line by line, one list of all rows, or one object over several lines;
 * null when they are something else.
 */
export function jsonFormOf(lines: readonly string[]): "lines" | "list" | "object" | null {
  const filled = lines.map((line) => line.trim()).filter((line) => line !== "");
  const objects = filled.filter((line) => /^\{\s*["}]/.test(line)).length;
  if (objects * 2 > filled.length) return "lines";
  const first = filled[0] ?? "";
  if (/^\[\s*([[\]{]|$)/.test(first)) return "list";
  return /^\{\s*(["}]|$)/.test(first) ? "object" : null;
}
