import { currentContext } from "@/app/_server/context";
import { createJob } from "@/app/_server/job-routes";
import { jobs } from "@/app/_server/jobs";

/** A new job. */
export async function POST(request: Request): Promise<Response> {
  const { permissions } = await currentContext();
  return createJob(request, { queue: jobs(), permissions });
}
