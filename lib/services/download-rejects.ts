import { stringify } from "csv-stringify/sync";
import { findImport } from "@/db/queries/imports";
import { guarded, rejectColumns } from "@/lib/import/reject-cells";
import { AppError } from "@/lib/kernel/errors";
import { type FileKind, fileKinds } from "@/lib/records/files";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { eachRefusedRow } from "@/lib/services/show-import";

/**
 * The rows of an import that did not go in, as pieces of CSV text: where and why, then the cells as they came.
 *
 * The file can be mended and imported again: an import knows it by its first five columns, leaves them aside, and takes
 * off the apostrophes that keep spreadsheets from running cells as formulas.
 * One file has the rows of one kind; `kind` chooses when the import has several.
 *
 * @throws AppError not_found for an unknown import; invalid_input when it has several kinds and none is chosen
 */
export async function* downloadRejects(
  context: Context,
  { importId, kind }: { importId: number; kind?: FileKind },
): AsyncGenerator<string> {
  requirePermission(context, "see");
  const found = await findImport(context.store, importId);
  if (!found) throw new AppError("not_found", `there is no import ${importId}; list the imports to see their numbers`);
  const files = found.files.filter((file) => file.kind !== null && file.refused + file.waiting + file.leftOut > 0);
  const kinds = fileKinds.filter((one) => files.some((file) => file.kind === one));
  if (kind === undefined && kinds.length > 1) {
    throw new AppError("invalid_input", `rows of ${kinds.join(", ")} did not go in; choose one of these kinds`);
  }
  const chosen = files.filter((file) => file.kind === (kind ?? kinds[0]));
  const columns = [...new Set(chosen.flatMap((file) => file.header))];
  yield line([...rejectColumns, ...columns]);
  for (const file of chosen) {
    for await (const row of eachRefusedRow(context, { fileKey: file.key })) {
      // A line that could not be cut into cells stands whole in the first column, to be mended by hand.
      const whole = row.cells.length === file.header.length ? row.cells : [row.cells.join(",")];
      const cells = columns.map((column, index) =>
        whole === row.cells ? (whole[file.header.indexOf(column)] ?? "") : (whole[index] ?? ""),
      );
      yield line([file.name, String(row.line ?? ""), row.column ?? "", row.value ?? "", row.reason, ...cells]);
    }
  }
}

function line(cells: readonly string[]): string {
  return stringify([cells.map(guarded)], { record_delimiter: "\r\n" });
}
