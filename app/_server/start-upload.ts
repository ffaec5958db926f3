import type { JobQueue } from "@/app/_server/job-queue";
import type { ImportChoices } from "@/app/_server/job-view";
import type { StagedFiles } from "@/app/_server/staged-files";
import { AppError } from "@/lib/kernel/errors";
import { type Answer, withAnswer } from "@/lib/services/staged-reading";

/**
 * Starts the import of an upload with each file read as it describes itself; a file that cannot be read stays out.
 *
 * @throws AppError conflict while a file needs a person first, invalid_input when none can be read
 */
export async function startUpload(
  queue: JobQueue,
  { jobId, choices }: { jobId: string; choices: ImportChoices },
): Promise<void> {
  const staged = queue.files(jobId);
  const files = staged.list();
  const descriptions = await Promise.all(files.map(({ position }) => staged.describe(position)));
  const asking = files.filter((_, index) => descriptions[index]?.state === "asks").map(({ name }) => name);
  if (asking.length > 0) throw new AppError("conflict", `${asking.join(", ")}: say first how it is to be read`);
  queue.start(jobId, { choices, files: descriptions.flatMap(({ order }) => (order ? [order] : [])) });
}

/** Answers a question of a file; a reading that only lacked the answer is settled by it, a guess stays to be looked at. */
export async function answerOf(
  staged: StagedFiles,
  { position, ...answer }: Answer & { position: number },
): Promise<void> {
  const { draft, by, saved } = await staged.describe(position);
  if (!draft) throw new AppError("conflict", "this file asks nothing");
  const settled = by !== "guess" && by !== "draft";
  staged.plan(position, { draft: withAnswer(draft, answer), saved, settled });
}
