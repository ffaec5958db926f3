import { importCsv } from "@/app/_server/import-csv";
import { downloadConflicts } from "@/lib/services/download-conflicts";

/** The rows of an import that differ from stored ones of the same key, value by value, as CSV. */
export async function GET(
  request: Request,
  { params }: RouteContext<"/imports/[importId]/conflicts">,
): Promise<Response> {
  return importCsv(request, { importId: (await params).importId, download: downloadConflicts, what: "differing" });
}
