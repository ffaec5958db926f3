import { currentContext } from "@/app/_server/context";
import { previewJobFile } from "@/app/_server/job-file-routes";
import { jobs } from "@/app/_server/jobs";

/** What would become of a file of an upload, read by the mapping sent. */
export async function POST(
  request: Request,
  { params }: RouteContext<"/jobs/[jobId]/files/[position]/preview">,
): Promise<Response> {
  const { jobId, position } = await params;
  return previewJobFile(request, { queue: jobs(), context: await currentContext(), id: jobId, position });
}
