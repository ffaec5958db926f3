import { currentContext } from "@/app/_server/context";
import { csvResponse } from "@/app/_server/csv-response";
import { AppError } from "@/lib/kernel/errors";
import { detectorsQueryOf } from "@/lib/services/detectors-query";
import { exportDetectors } from "@/lib/services/export-detectors";

/** The list of detectors as it is filtered and ordered, whole, as CSV. */
export async function GET(request: Request): Promise<Response> {
  const context = await currentContext();
  const query = detectorsQueryOf(Object.fromEntries(new URL(request.url).searchParams));
  try {
    return csvResponse(await exportDetectors(context, query), "detectors.csv");
  } catch (thrown) {
    if (thrown instanceof AppError) return new Response("nothing stands at this address", { status: 404 });
    throw thrown;
  }
}
