import { z } from "zod";
import type { JobProgress } from "@/app/_server/job-view";

const progressLine = z.object({
  file: z.string().nullish(),
  what: z.string().nullish(),
  done: z.number().nonnegative(),
  total: z.number().nonnegative().nullish(),
});

/** What a line of `--progress json` says; null for a line that is not of that form. */
export function progressOf(line: string): JobProgress | null {
  const parsed = progressLine.safeParse(jsonOf(line));
  if (!parsed.success) return null;
  const { done, total, file, what } = parsed.data;
  return { text: file ?? what ?? "", done, total: total ?? null };
}

/** The words of a failed command: its last line that begins with `error:`, else its last one that is not progress. */
export function failureOf(stderr: string): string {
  const lines = stderr.split("\n").filter((line) => line.trim() !== "" && progressOf(line) === null);
  const said = lines.findLast((line) => /^error:/i.test(line)) ?? lines.at(-1);
  return said?.replace(/^error:\s*/i, "") ?? "the command ended without saying why";
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
