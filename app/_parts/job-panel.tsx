import { JobProgress } from "@/app/_parts/job-progress";
import { EmptyState, FailedState } from "@/app/_parts/states";
import { jobs } from "@/app/_server/jobs";

/** A job by its id: its progress while it runs, what became of it afterwards. */
export function JobPanel({ id, title }: { id: string; title: string }) {
  const job = jobs().view(id);
  return (
    <section aria-label={title} className="mb-12">
      {job === null ? (
        <EmptyState title="This job is not known any more.">
          <p>
            The server was started anew since, or it is long ago. An import that was under way then went in whole or not
            at all: the list of imports shows which.
          </p>
        </EmptyState>
      ) : job.state === "failed" ? (
        <FailedState title="This did not succeed.">
          <p>{job.message}</p>
        </FailedState>
      ) : (
        <JobProgress key={`${job.id}-${job.state}`} initial={job} />
      )}
    </section>
  );
}
