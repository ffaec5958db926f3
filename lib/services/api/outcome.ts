import type { Store } from "@/db/client";
import { listConflicts, listRejects, type StoredConflict } from "@/db/queries/imports";
import { apiLimits } from "@/lib/report/api/limits";
import type { ApiAnswer, RowError, SentKind } from "@/lib/report/api/shapes";
import type { ImportFileView, ImportView } from "@/lib/services/show-import";

/** What became of the rows of an import of one file; `errors` are its first refused rows and conflicts, by line. */
export async function outcomeOf(
  store: Store,
  { report, file, kind }: { report: Pick<ImportView, "id">; file: ImportFileView; kind: SentKind },
): Promise<ApiAnswer> {
  const { rows, accepted, replaced, duplicates, conflicts, refused, waiting, leftOut, note } = file;
  const errors = await errorsOf(store, file);
  const total = file.failure === null ? refused + conflicts : 1;
  const counts = { rows, accepted, replaced, duplicates, conflicts, refused, waiting, leftOut };
  return { import: report.id, kind, ...counts, note, errors, moreErrors: Math.max(0, total - errors.length) };
}

/** Whether rows were sent and none of them is in the store now or was left out on purpose. */
export function nothingWentIn({ rows, accepted, duplicates, waiting, leftOut }: ApiAnswer): boolean {
  return rows > 0 && accepted + duplicates + waiting + leftOut === 0;
}

async function errorsOf(store: Store, { fileKey, failure }: ImportFileView): Promise<RowError[]> {
  if (failure) return [failure];
  const conflicts = await listConflicts(store, { fileKey, limit: apiLimits.listedErrors, offset: 0 });
  const errors = [
    ...(await refusedRows(store, fileKey)),
    ...conflicts.filter(({ replaced }) => !replaced).map(conflictError),
  ];
  return errors.toSorted((one, other) => (one.line ?? 0) - (other.line ?? 0)).slice(0, apiLimits.listedErrors);
}

/** The first refused rows; those a mapping leaves out stand among them and are passed over. */
async function refusedRows(store: Store, fileKey: number): Promise<RowError[]> {
  const errors: RowError[] = [];
  const limit = 1_000;
  for (let offset = 0; errors.length < apiLimits.listedErrors; offset += limit) {
    const page = await listRejects(store, { fileKey, limit, offset });
    for (const { line, column, value, reason, leftOut } of page) {
      if (!leftOut) errors.push({ line, column, value, reason });
    }
    if (page.length < limit) break;
  }
  return errors;
}

function conflictError({ line, stored, sent }: StoredConflict): RowError {
  const [column = null] = Object.keys(sent);
  const words = (values: StoredConflict["sent"]) =>
    Object.entries(values)
      .map(([name, value]) => `${name} ${value ?? "(empty)"}`)
      .join(", ");
  return {
    line,
    column,
    value: column === null ? null : String(sent[column] ?? ""),
    reason: `is stored with other values: ${words(stored)}, sent was ${words(sent)}; send it with replace=yes if it is the right one`,
  };
}
