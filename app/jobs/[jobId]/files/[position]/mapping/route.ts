import { currentContext } from "@/app/_server/context";
import { settleJobFile } from "@/app/_server/job-file-routes";
import { jobs } from "@/app/_server/jobs";

/** Settles how a file of an upload is read, and saves the mapping when it is named. */
export async function PUT(
  request: Request,
  { params }: RouteContext<"/jobs/[jobId]/files/[position]/mapping">,
): Promise<Response> {
  const { jobId, position } = await params;
  return settleJobFile(request, { queue: jobs(), context: await currentContext(), id: jobId, position });
}
