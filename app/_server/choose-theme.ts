"use server";

import { cookies } from "next/headers";
import { THEME_COOKIE, themeSchema } from "@/app/_server/theme";

/** Keeps the reader's choice of paper for a year. */
export async function chooseTheme(form: FormData): Promise<void> {
  const jar = await cookies();
  jar.set(THEME_COOKIE, themeSchema.parse(form.get("theme")), {
    path: "/",
    maxAge: 365 * 24 * 3600,
    sameSite: "lax",
    httpOnly: true,
  });
}
