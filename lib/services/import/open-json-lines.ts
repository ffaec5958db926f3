import { shown } from "@/lib/import/quote";
import { CELLS_LIMIT, type SplitRecord } from "@/lib/import/split-records";
import { columnNames } from "@/lib/import/table/column-names";
import { type JsonLine, readJsonLine } from "@/lib/import/table/json-line";
import type { RecordBlock, Table } from "@/lib/import/table/table";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import type { OpenedText } from "@/lib/services/import/open-text";

/** Lines whose keys are the columns; a key that first comes later has none, and its line is refused. */
export const KEY_LINES = 1_000;
const KEY_CHARACTERS = 64_000_000;

/**
 * Opens JSON lines as a table: a column for each key of the first {@link KEY_LINES} lines, in the order they first come.
 *
 * @throws FileFlaw when no line has a value, or they have too many keys
 */
export async function openJsonLines({ packed, encoding, lines }: OpenedText): Promise<Table> {
  const places = await placesOf(lines);
  return {
    format: { packed, form: "json_lines", encoding, separator: null, sheet: null, headerLine: 0 },
    columns: columnNames([...places.keys()], { width: places.size }),
    note: null,
    rows: () => rowsOf(lines, places),
  };
}

async function placesOf(lines: OpenedText["lines"]): Promise<Map<string, number>> {
  const places = new Map<string, number>();
  let left = KEY_LINES;
  let characters = 0;
  let flaw: { line: number; reason: string } | null = null;
  for await (const block of lines()) {
    for (const [index, line] of block.lines.entries()) {
      if (line.trim() === "") continue;
      if (left === 0 || characters > KEY_CHARACTERS) return places;
      left -= 1;
      characters += line.length;
      const read = resultOf(line, block.flawed?.get(index));
      if (!read.ok) flaw ??= { line: block.firstLine + index, reason: read.flaw };
      else for (const key of read.values.keys()) if (!places.has(key)) places.set(key, places.size);
      if (places.size > CELLS_LIMIT) {
        throw new FileFlaw(`has more than ${CELLS_LIMIT} keys; send only those that are needed`, {
          line: block.firstLine + index,
        });
      }
    }
  }
  if (places.size === 0)
    throw new FileFlaw(flaw?.reason ?? "is empty; send one object a line", { line: flaw?.line ?? 1 });
  return places;
}

async function* rowsOf(lines: OpenedText["lines"], places: ReadonlyMap<string, number>): AsyncGenerator<RecordBlock> {
  const blank = Array.from({ length: places.size }, () => "");
  for await (const block of lines()) {
    const records: SplitRecord[] = [];
    for (const [index, text] of block.lines.entries()) {
      if (text.trim() === "") continue;
      const read = placed(resultOf(text, block.flawed?.get(index)), { places, blank });
      const line = block.firstLine + index;
      records.push(typeof read === "string" ? { line, cells: [text], flaw: read } : { line, cells: read, flaw: null });
    }
    const openLine = block.open ? block.firstLine + block.lines.length - 1 : null;
    yield { records, openLine, bytes: block.bytes };
  }
}

function resultOf(line: string, flaw: string | undefined): JsonLine {
  return flaw === undefined ? readJsonLine(line) : { ok: false, flaw };
}

/** The cells of an object in their places, or its flaw. */
function placed(
  read: JsonLine,
  { places, blank }: { places: ReadonlyMap<string, number>; blank: readonly string[] },
): readonly string[] | string {
  if (!read.ok) return read.flaw;
  const cells = [...blank];
  for (const [key, value] of read.values) {
    const place = places.get(key);
    if (place === undefined) {
      return `has the key '${shown(key)}', which none of the first ${KEY_LINES} lines has; name it in the first line, such as with null`;
    }
    cells[place] = value;
  }
  return cells;
}
