import { currentContext } from "@/app/_server/context";
import { dropJob, showJob } from "@/app/_server/job-routes";
import { jobs } from "@/app/_server/jobs";

/** How a job stands, as JSON. */
export async function GET(_request: Request, { params }: RouteContext<"/jobs/[jobId]">): Promise<Response> {
  const { permissions } = await currentContext();
  return showJob({ queue: jobs(), permissions, id: (await params).jobId });
}

/** Gives an upload up. */
export async function DELETE(request: Request, { params }: RouteContext<"/jobs/[jobId]">): Promise<Response> {
  const { permissions } = await currentContext();
  return dropJob(request, { queue: jobs(), permissions, id: (await params).jobId });
}
