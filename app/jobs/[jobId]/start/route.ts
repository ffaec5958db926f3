import { currentContext } from "@/app/_server/context";
import { startJob } from "@/app/_server/job-routes";
import { jobs } from "@/app/_server/jobs";

/** Closes the upload and lines the job up. */
export async function POST(request: Request, { params }: RouteContext<"/jobs/[jobId]/start">): Promise<Response> {
  const { permissions } = await currentContext();
  return startJob(request, { queue: jobs(), permissions, id: (await params).jobId });
}
