import { currentContext } from "@/app/_server/context";
import { addJobFile } from "@/app/_server/job-routes";
import { jobs } from "@/app/_server/jobs";

/** One file of a job, streamed to disk. */
export async function POST(request: Request, { params }: RouteContext<"/jobs/[jobId]/files">): Promise<Response> {
  const { permissions } = await currentContext();
  return addJobFile(request, { queue: jobs(), permissions, id: (await params).jobId });
}
