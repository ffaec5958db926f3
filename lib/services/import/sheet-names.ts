import type { TableFormat } from "@/lib/import/table/table-format";
import { openArchive } from "@/lib/services/import/archive";
import { readWorkbook } from "@/lib/services/import/read-workbook";

/** Names of the sheets of a workbook in their order, hidden ones last; empty for a file of another form, or a packed one. */
export async function sheetNames(path: string, { form, packed }: TableFormat): Promise<string[]> {
  if (form !== "workbook" || packed) return [];
  const archive = await openArchive(path);
  try {
    const { sheets } = await readWorkbook(archive);
    return sheets.toSorted((one, other) => Number(one.hidden) - Number(other.hidden)).map(({ name }) => name);
  } finally {
    archive.close();
  }
}
