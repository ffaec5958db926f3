"use server";

import { revalidatePath } from "next/cache";
import { redirect } from "next/navigation";
import { z } from "zod";
import { currentContext } from "@/app/_server/context";
import { AppError } from "@/lib/kernel/errors";
import { createApiKey, revokeApiKey } from "@/lib/services/api-keys";

/** What the form of a new key came to: its secret, shown this once, or why there is none with what was typed. */
export type NewKeyState = {
  readonly secret: string | null;
  readonly name: string;
  readonly holds: string;
  readonly refusal: string | null;
};

const wishSchema = z.object({
  name: z.string(),
  holds: z.string().regex(/^(site|portfolio):[\s\S]+$/, "choose what the key is for"),
});

/** Makes a key and hands its secret to the page, which shows it once. */
export async function addKey(_before: NewKeyState, form: FormData): Promise<NewKeyState> {
  const context = await currentContext();
  const parsed = wishSchema.safeParse({ name: form.get("name"), holds: form.get("holds") });
  const typed = { name: String(form.get("name") ?? ""), holds: String(form.get("holds") ?? "") };
  if (!parsed.success) {
    return { ...typed, secret: null, refusal: parsed.error.issues[0]?.message ?? "fill in both fields" };
  }
  const { name, holds } = parsed.data;
  const scope = holds.startsWith("site:") ? "site" : "portfolio";
  try {
    const { secret } = await createApiKey(context, { name, scope, scopeId: holds.slice(scope.length + 1) });
    revalidatePath("/settings");
    return { secret, name: "", holds: "", refusal: null };
  } catch (thrown) {
    if (thrown instanceof AppError) return { ...typed, secret: null, refusal: thrown.message };
    throw thrown;
  }
}

/** Revokes a key at once. */
export async function revokeKey(form: FormData): Promise<void> {
  const context = await currentContext();
  const { id } = z.object({ id: z.coerce.number().int().positive() }).parse({ id: form.get("id") });
  await revokeApiKey(context, { id });
  redirect("/settings#keys");
}
