import { deflateRawSync, inflateRawSync } from "node:zlib";

/** A row that waits: its line, and its cells as they came. */
export type WaitingRow = { readonly line: number; readonly cells: readonly string[] };

/** Rows that wait as bytes; one line of JSON a row, deflated, as a first file of readings may wait whole. */
export function packRows(rows: readonly WaitingRow[]): Buffer {
  return deflateRawSync(rows.map((row) => JSON.stringify([row.line, ...row.cells])).join("\n"), { level: 1 });
}

/** The rows of {@link packRows}; throws Error when the bytes are damaged. */
export function unpackRows(bytes: Uint8Array): WaitingRow[] {
  return inflateRawSync(bytes)
    .toString("utf8")
    .split("\n")
    .map((text) => {
      const row: unknown = JSON.parse(text);
      if (!Array.isArray(row) || typeof row[0] !== "number") throw new Error("damaged waiting rows");
      return { line: row[0], cells: row.slice(1).map(String) };
    });
}
