import { importCsv } from "@/app/_server/import-csv";
import { downloadRejects } from "@/lib/services/download-rejects";

/** The rows of an import that did not go in, as CSV to be mended and imported again. */
export async function GET(
  request: Request,
  { params }: RouteContext<"/imports/[importId]/rejects">,
): Promise<Response> {
  return importCsv(request, { importId: (await params).importId, download: downloadRejects, what: "not-in" });
}
