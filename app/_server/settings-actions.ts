"use server";

import { redirect } from "next/navigation";
import { currentContext } from "@/app/_server/context";
import { jobs } from "@/app/_server/jobs";
import type { SettingsFormState } from "@/app/settings/_parts/settings-form";
import { requirePermission } from "@/lib/services/permissions";
import { saveSettings } from "@/lib/services/save-settings";

/** Saves the form; on a mistake it comes back with what was typed and what is wrong beside each field. */
export async function saveSettingsForm(_before: SettingsFormState, form: FormData): Promise<SettingsFormState> {
  const context = await currentContext();
  const typed = Object.fromEntries(
    [...form].flatMap(([key, value]) => (typeof value === "string" ? [[key, value]] : [])),
  );
  const answer = await saveSettings(context, { values: typed });
  if (answer.outcome === "invalid") return { typed, problems: answer.problems };
  redirect(`/settings?${answer.outcome}=${answer.version}`);
}

/** Lines up an analysis with the settings and data as they are, and goes to where it is shown. */
export async function analyseAgain(): Promise<void> {
  const { permissions } = await currentContext();
  requirePermission({ permissions }, "analyse");
  const id = jobs().create("analyse");
  jobs().start(id);
  redirect(`/settings?job=${id}`);
}
