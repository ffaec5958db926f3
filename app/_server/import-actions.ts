"use server";

import { redirect } from "next/navigation";
import { currentContext } from "@/app/_server/context";
import { jobs } from "@/app/_server/jobs";
import { AppError } from "@/lib/kernel/errors";
import { requirePermission } from "@/lib/services/permissions";
import { takeBackImport } from "@/lib/services/take-back-import";

/** What a refused take-back says; null before one was tried. */
export type TakeBackState = { readonly refusal: string | null };

/** Takes an import back whole and lines up an analysis without it; a refusal comes back in words. */
export async function takeBack(_before: TakeBackState, form: FormData): Promise<TakeBackState> {
  const context = await currentContext();
  const importId = Number(form.get("importId"));
  try {
    await takeBackImport(context, { importId });
  } catch (thrown) {
    if (thrown instanceof AppError) return { refusal: thrown.message };
    throw thrown;
  }
  const id = jobs().create("analyse");
  jobs().start(id);
  redirect(`/imports/${importId}?job=${id}`);
}

/** Lines up an analysis with the data and settings as they are, and goes to where it is shown. */
export async function analyseFromImports(): Promise<void> {
  const { permissions } = await currentContext();
  requirePermission({ permissions }, "analyse");
  const id = jobs().create("analyse");
  jobs().start(id);
  redirect(`/imports?job=${id}`);
}
