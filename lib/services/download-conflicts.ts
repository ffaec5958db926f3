import { stringify } from "csv-stringify/sync";
import { findImport, listConflicts } from "@/db/queries/imports";
import { guarded } from "@/lib/import/reject-cells";
import { AppError } from "@/lib/kernel/errors";
import { type FileKind, fileKinds, naturalKeys } from "@/lib/records/files";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";

const PAGE = 1_000;

/**
 * The rows of an import whose key was stored with other values, as pieces of CSV text: one line a value that differs, with
 * what stood in the store, what was sent, and which of the two stands since.
 *
 * One file has the rows of one kind; `kind` chooses when the import has several.
 *
 * @throws AppError not_found for an unknown import; invalid_input when it has several kinds and none is chosen
 */
export async function* downloadConflicts(
  context: Context,
  { importId, kind }: { importId: number; kind?: FileKind },
): AsyncGenerator<string> {
  requirePermission(context, "see");
  const found = await findImport(context.store, importId);
  if (!found) throw new AppError("not_found", `there is no import ${importId}; list the imports to see their numbers`);
  const files = found.files.filter((file) => file.kind !== null && file.conflicts + file.replaced > 0);
  const kinds = fileKinds.filter((one) => files.some((file) => file.kind === one));
  if (kind === undefined && kinds.length > 1) {
    throw new AppError(
      "invalid_input",
      `rows of ${kinds.join(", ")} differ from stored ones; choose one of these kinds`,
    );
  }
  const chosen = kind ?? kinds[0] ?? "readings";
  const keys: readonly string[] = naturalKeys[chosen];
  yield line(["conflict_file", "conflict_line", ...keys, "column", "stored", "sent", "stands"]);
  for (const file of files.filter((one) => one.kind === chosen)) {
    for (let offset = 0; ; offset += PAGE) {
      const page = await listConflicts(context.store, { fileKey: file.key, limit: PAGE, offset });
      for (const { line: lineNumber, identity, stored, sent, replaced } of page) {
        const where = [file.name, lineNumber, ...keys.map((key) => identity[key] ?? "")];
        for (const [column, value] of Object.entries(sent)) {
          yield line([...where, column, stored[column] ?? null, value, replaced ? "sent" : "stored"]);
        }
      }
      if (page.length < PAGE) break;
    }
  }
}

function line(cells: readonly (string | number | boolean | null)[]): string {
  const texts = cells.map((cell) => (cell === null ? "" : guarded(String(cell))));
  return stringify([texts], { record_delimiter: "\r\n" });
}
