import { shown } from "@/lib/import/quote";
import { RecordSplitter } from "@/lib/import/split-records";
import { columnNames } from "@/lib/import/table/column-names";
import { type CutBeginning, cutAt, findSeparator } from "@/lib/import/table/find-separator";
import { separatorLine } from "@/lib/import/table/separator-line";
import type { RecordBlock, Table } from "@/lib/import/table/table";
import type { TableChoices } from "@/lib/import/table/table-format";
import { FileFlaw } from "@/lib/services/import/file-flaw";
import type { OpenedText } from "@/lib/services/import/open-text";
import type { TextBlock } from "@/lib/services/import/text-lines";

/** Opens a text as lines of cells between separators; throws FileFlaw when it is empty or has no header where one is due. */
export function openSeparated(
  { packed, encoding, beginning, lines }: OpenedText,
  { separator: chosen, headerLine }: TableChoices,
): Table {
  const [first = "", ...others] = beginning.lines;
  const told = separatorLine(first);
  const from = told === undefined ? beginning : { ...beginning, lines: ["", ...others] };
  const separator = chosen ?? told ?? null;
  const cut = separator === null ? findSeparator(from, { headerLine }) : cutAt(separator, from, { headerLine });
  refuseHeader(cut, headerLine);
  const { named, place, width } = cut.header;
  const record = named ? cut.records[place] : undefined;
  const above = record?.line ?? (told === undefined ? 0 : 1);
  return {
    format: {
      packed,
      form: "separated",
      encoding,
      separator: cut.separator,
      sheet: null,
      headerLine: record?.line ?? 0,
    },
    columns: columnNames(record?.cells ?? null, { width }),
    note: noteOf(cut, headerLine),
    rows: () => recordsBelow(above, { blocks: lines(), separator: cut.separator }),
  };
}

function refuseHeader({ records, header }: CutBeginning, chosen: number | undefined): void {
  const [first] = records;
  if (!first) throw new FileFlaw("is empty; a file needs a header line with the column names", { line: 1 });
  if (chosen === 0) return;
  const record = chosen === undefined ? first : records[header.place];
  if (!record) {
    throw new FileFlaw("has no column names in the line chosen for them; choose another", { line: chosen ?? null });
  }
  // Below a header that cannot be read, a row would be taken for it.
  if (record.flaw !== null) {
    throw new FileFlaw(record.flaw, { line: record.line, value: shown(record.cells.join(",")) });
  }
}

function noteOf({ records, header }: CutBeginning, chosen: number | undefined): string | null {
  if (chosen !== undefined) return null;
  if (!header.named) return "no line names the columns, so they are called by their place";
  const line = records[header.place]?.line ?? 1;
  return header.place === 0 ? null : `the column names stand in line ${line}; what stands above is left out`;
}

async function* recordsBelow(
  above: number,
  { blocks, separator }: { blocks: AsyncGenerator<TextBlock>; separator: string },
): AsyncGenerator<RecordBlock> {
  const splitter = new RecordSplitter({ separator });
  let bytes = 0;
  let openLine: number | null = null;
  let below = above === 0;
  for await (const block of blocks) {
    bytes = block.bytes;
    openLine = block.open ? block.firstLine + block.lines.length - 1 : null;
    const records = splitter.push(block);
    yield { records: below ? records : records.filter(({ line }) => line > above), openLine, bytes };
    below ||= block.firstLine > above;
  }
  yield { records: splitter.end().filter(({ line }) => line > above), openLine, bytes };
}
