import { cookies } from "next/headers";
import { z } from "zod";

/** The papers a reader can choose; `system` follows the device. */
export const themes = ["system", "light", "dark"] as const;

/** One of {@link themes}. */
export type Theme = (typeof themes)[number];

/** Schema of {@link themes}; anything else is `system`. */
export const themeSchema = z.enum(themes).catch("system");

/** Name of the cookie that holds the choice. */
export const THEME_COOKIE = "theme";

/** The reader's choice, `system` when none was made. */
export async function currentTheme(): Promise<Theme> {
  const jar = await cookies();
  return themeSchema.parse(jar.get(THEME_COOKIE)?.value);
}
