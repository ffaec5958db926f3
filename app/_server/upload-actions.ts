"use server";

import { redirect } from "next/navigation";
import { z } from "zod";
import { currentContext } from "@/app/_server/context";
import { jobs } from "@/app/_server/jobs";
import { answerOf, startUpload } from "@/app/_server/start-upload";
import { AppError } from "@/lib/kernel/errors";
import { requirePermission } from "@/lib/services/permissions";

const uploadForm = z.object({ jobId: z.uuid() });
const fileForm = uploadForm.extend({ position: z.coerce.number().int().nonnegative() });
const importForm = uploadForm.extend({
  replace: z.enum(["no", "yes"]).default("no"),
  fold: z.enum(["refuse", "first", "second"]).default("refuse"),
});

const answerForm = fileForm.extend({ about: z.enum(["dates", "decimal"]), ours: z.string(), answer: z.string() });

/** Answers what a file asks; it is described anew with the answer. */
export async function answerQuestion(form: FormData): Promise<void> {
  const { permissions } = await currentContext();
  requirePermission({ permissions }, "import");
  const { jobId, position, ...given } = answerForm.parse(Object.fromEntries(form));
  await unlessGone(() => answerOf(jobs().files(jobId), { position, ...given, ours: given.ours.split(",") }));
  redirect(`/imports?job=${jobId}`);
}

/** Leaves one file of an upload out. */
export async function leaveOut(form: FormData): Promise<void> {
  const { permissions } = await currentContext();
  requirePermission({ permissions }, "import");
  const { jobId, position } = fileForm.parse(Object.fromEntries(form));
  await unlessGone(() => jobs().files(jobId).remove(position));
  redirect(`/imports?job=${jobId}`);
}

/** Gives a whole upload up and removes its files. */
export async function giveUp(form: FormData): Promise<void> {
  const { permissions } = await currentContext();
  requirePermission({ permissions }, "import");
  const { jobId } = uploadForm.parse(Object.fromEntries(form));
  await unlessGone(() => jobs().drop(jobId));
  redirect("/imports");
}

/** Starts the import of an upload; where a file still asks, the page says so again. */
export async function startImport(form: FormData): Promise<void> {
  const { permissions } = await currentContext();
  requirePermission({ permissions }, "import");
  const { jobId, replace, fold } = importForm.parse(Object.fromEntries(form));
  await unlessGone(() => startUpload(jobs(), { jobId, choices: { replaces: replace === "yes", fold } }));
  redirect(`/imports?job=${jobId}`);
}

/** What was started or given up in another window is no failure of this one: the page shows how it stands. */
async function unlessGone(act: () => Promise<void>): Promise<void> {
  try {
    await act();
  } catch (thrown) {
    if (!(thrown instanceof AppError)) throw thrown;
  }
}
