/** Why a whole file cannot be read: what stood where, and what to do; thrown while it is read, caught by the import. */
export class FileFlaw extends Error {
  readonly line: number | null;
  readonly column: string | null;
  readonly value: string | null;

  constructor(
    reason: string,
    {
      line = null,
      column = null,
      value = null,
    }: { line?: number | null; column?: string | null; value?: string | null } = {},
  ) {
    super(reason);
    this.name = "FileFlaw";
    this.line = line;
    this.column = column;
    this.value = value;
  }
}
