import { z } from "zod";
import type { JobProgress, ReportedFile } from "@/app/_server/job-view";

const MAX_SHOWN_REFUSALS = 50;

const progressLine = z.object({
  step: z.string().optional(),
  phase: z.string().optional(),
  file: z.string().nullish(),
  text: z.string().optional(),
  done: z.number().nonnegative().optional(),
  total: z.number().nonnegative().nullish(),
});

/** What a line of `--progress json` says; null for a line that is not of that form. */
export function progressOf(line: string): JobProgress | null {
  const parsed = progressLine.safeParse(jsonOf(line));
  if (!parsed.success || parsed.data.done === undefined) return null;
  const { done, total, file } = parsed.data;
  const what = parsed.data.text ?? parsed.data.step ?? parsed.data.phase ?? "";
  const text = [what, file ? lastPart(file) : ""].filter((part) => part !== "").join(" ");
  return { text, done, total: total ?? null };
}

const reportedFile = z.object({
  file: z.string(),
  kind: z.string().nullish(),
  rows: z.number().default(0),
  accepted: z.number().default(0),
  duplicates: z.number().default(0),
  conflicts: z.union([z.number(), z.array(z.unknown())]).default(0),
  waiting: z.number().default(0),
  rejected: z
    .array(
      z.object({
        line: z.number(),
        column: z.string().nullish(),
        value: z.string().nullish(),
        reason: z.string(),
      }),
    )
    .default([]),
  error: z.string().nullish(),
});

const report = z.union([
  z.array(reportedFile).transform((files) => ({ files, importId: null })),
  z.object({ files: z.array(reportedFile), importId: z.union([z.string(), z.number()]).nullish() }),
  reportedFile.transform((file) => ({ files: [file], importId: null })),
]);

/** What `import --format json` printed; null when it printed no report. */
export function reportOf(stdout: string): { files: ReportedFile[]; importId: string | null } | null {
  const parsed = report.safeParse(jsonOf(stdout));
  if (!parsed.success) return null;
  const { files, importId } = parsed.data;
  return { files: files.map(toReportedFile), importId: importId == null ? null : String(importId) };
}

/** The words of a failed command: its last line that is not progress. */
export function failureOf(stderr: string): string {
  const lines = stderr.split("\n").filter((line) => line.trim() !== "" && progressOf(line) === null);
  return lines.at(-1)?.replace(/^error:\s*/i, "") ?? "the command ended without saying why";
}

function toReportedFile(file: z.infer<typeof reportedFile>): ReportedFile {
  return {
    file: lastPart(file.file),
    kind: file.kind ?? null,
    rows: file.rows,
    accepted: file.accepted,
    duplicates: file.duplicates,
    conflicts: typeof file.conflicts === "number" ? file.conflicts : file.conflicts.length,
    waiting: file.waiting,
    refused: file.rejected.length,
    rejected: file.rejected
      .slice(0, MAX_SHOWN_REFUSALS)
      .map(({ line, column, value, reason }) => ({ line, column: column ?? null, value: value ?? null, reason })),
    failure: file.error ?? null,
  };
}

function lastPart(path: string): string {
  return path.split(/[\\/]/).at(-1) ?? path;
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
