"use server";

import { redirect } from "next/navigation";
import { z } from "zod";
import { currentContext } from "@/app/_server/context";
import { retireMapping } from "@/lib/services/mappings";

const retireForm = z.object({ name: z.string().min(1).max(200) });

/** Takes a saved mapping off the offer. */
export async function retire(form: FormData): Promise<void> {
  const { name } = retireForm.parse(Object.fromEntries(form));
  await retireMapping(await currentContext(), { name });
  redirect("/imports/mappings");
}
