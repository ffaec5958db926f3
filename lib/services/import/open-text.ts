import { markOf, wideEncodingOf } from "@/lib/import/table/encoding-evidence";
import type { Beginning } from "@/lib/import/table/find-separator";
import { jsonFormOf } from "@/lib/import/table/json-form";
import type { Table } from "@/lib/import/table/table";
import type { Encoding, TableChoices } from "@/lib/import/table/table-format";
import { passingBytes } from "@/lib/services/import/file-bytes";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import { openJsonLines } from "@/lib/services/import/open-json-lines";
import { openSeparated } from "@/lib/services/import/open-separated";
import { beginningOf } from "@/lib/services/import/table-beginning";
import { asUtf8, findEncoding } from "@/lib/services/import/text-bytes";
import { type TextBlock, textLines } from "@/lib/services/import/text-lines";
import { unpackedBytes } from "@/lib/services/import/unpacked-bytes";

/** A text whose encoding is known: its first lines, and all its lines, each time anew. */
export type OpenedText = {
  readonly packed: boolean;
  readonly encoding: Encoding;
  readonly beginning: Beginning;
  lines(): AsyncGenerator<TextBlock>;
};

const WHOLE_JSON =
  "is one JSON value over the whole file; send JSON lines: one object a line, without a list around them";

/**
 * Opens a text as a table; `start` is its beginning, unpacked.
 *
 * @throws FileFlaw when it is no text, or no table
 */
export async function openText(
  path: string,
  { packed, start, choices }: { packed: boolean; start: Buffer; choices: TableChoices },
): Promise<Table> {
  const evident = markOf(start)?.encoding ?? wideEncodingOf(start);
  const chosen = choices.encoding ?? evident;
  const bytes = () => unpackedBytes(path, { packed });
  // A packed file is read through in any case, so that a cut or damaged one is refused before its first row is taken in.
  const found = chosen === null || packed ? await findEncoding(packed ? bytes() : passingBytes(path)) : null;
  const encoding = chosen ?? found ?? "utf-8";
  const lines = () => textLines(asUtf8(bytes(), encoding), encoding);
  const beginning = await beginningOf(lines(), { headerLine: choices.headerLine });
  const text = { packed, encoding, beginning, lines };
  const json = choices.separator === undefined ? jsonFormOf(beginning.lines) : null;
  if (json === "list" || json === "object") throw new FileFlaw(WHOLE_JSON, { line: 1 });
  const table = json === "lines" ? await openJsonLines(text) : openSeparated(text, choices);
  const guessed = choices.encoding === undefined && encoding === "windows-1252";
  const notes = [guessed ? "is not UTF-8, so it is read as Windows-1252" : null, table.note];
  return { ...table, note: notes.filter((note) => note !== null).join("; ") || null };
}
