/**
 * Names of the columns of a table: the cells of its header, trimmed, inner blanks made one.
 *
 * A column without a name is called by its place (`column 3`); a name that stands again gets its count (`Time (2)`), so
 * that each column can be named without doubt. `width` is the number of columns where no line names them.
 */
export function columnNames(header: readonly string[] | null, { width }: { width: number }): string[] {
  const cells = header ?? Array.from({ length: width }, () => "");
  const counts = new Map<string, number>();
  return cells.map((cell, index) => {
    const name = cell.trim().replace(/\s+/g, " ") || `column ${index + 1}`;
    const key = sameName(name);
    const count = (counts.get(key) ?? 0) + 1;
    counts.set(key, count);
    return count === 1 ? name : `${name} (${count})`;
  });
}

/** The form in which two column names are compared: capitals, runs of blanks and how accents are coded do not matter. */
export function sameName(name: string): string {
  return name.normalize("NFC").trim().replace(/\s+/g, " ").toLowerCase();
}
