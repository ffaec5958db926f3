import { type Command, Option } from "commander";
import { z } from "zod";
import type { Program } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { progressPrinter } from "@/app/_cli/progress";
import { jsonInFile, readChoicesOf, withReadOptions } from "@/app/_cli/read-options";
import { AppError } from "@/lib/kernel/errors";

const options = z.object({
  replace: z.boolean().default(false),
  fold: z.enum(["first", "second"]).optional(),
  format: z.enum(["text", "json"]),
  progress: z.enum(["auto", "json", "none"]),
  plan: z.string().min(1).optional(),
});

/** `import FILE...`: takes in files as one import and reports what became of every row. */
export function addImport({ program, withContext }: Program): Command {
  const command = program
    .command("import")
    .description("take in tables of sites, detectors, readings, events and work, in any order")
    .argument(
      "<file...>",
      "separated text, JSON lines or workbooks, packed by gzip or not; their columns say what they are",
    )
    .option("--replace", "let rows that differ from stored ones of the same key take their place")
    .addOption(
      new Option("--fold <which>", "what a wall time means that the clock showed twice").choices(["first", "second"]),
    )
    .addOption(new Option("--format <format>", "form of the report").choices(["text", "json"]).default("text"))
    .addOption(new Option("--progress <form>", "progress on stderr").choices(["auto", "json", "none"]).default("auto"))
    .option("--plan <file>", "how each file is to be read: a JSON array with an entry a file, in their order")
    .addHelpText(
      "after",
      "\nExit code: 0 all rows are in or were there, 3 some did not go in, 2 a file could not be read or the call is wrong.",
    );
  return withReadOptions(command).action((files: string[], given: unknown) =>
    withContext(async (context) => {
      const { importFiles } = await import("@/lib/services/import-files");
      const { printImportJson, printImportText } = await import("@/app/_cli/import-output");
      const { replace, fold, format, progress, plan } = options.parse(given);
      const choices = await readChoicesOf(context, given);
      const planned = plan === undefined ? [] : await plannedChoices(plan, files.length);
      const report = await importFiles(context, {
        files: files.map((path, index) => ({ ...choices, ...planned[index], name: path, path })),
        replaces: replace,
        fold: fold ?? "refuse",
        onProgress: progressPrinter(progress),
      });
      if (format === "json") await printImportJson(context, report);
      else await printImportText(context, report);
      if (report.files.some((file) => file.failure !== null)) return exitCodes.unreadable;
      const complete = report.files.every((file) => file.refused + file.waiting + file.conflicts === 0);
      return complete ? exitCodes.done : exitCodes.incomplete;
    }),
  );
}

/** The choices a plan has for each file; throws AppError when it is none, or has an entry too many or too few. */
async function plannedChoices(path: string, count: number) {
  const { readChoicesSchema } = await import("@/lib/services/import/file-to-import");
  const parsed = z
    .array(readChoicesSchema.extend({ name: z.string().optional() }))
    .length(count)
    .safeParse(jsonInFile(path));
  if (parsed.success) return parsed.data;
  const [issue] = parsed.error.issues;
  throw new AppError(
    "invalid_input",
    `${path}, ${issue?.path.map(String).join(".") ?? ""}: ${issue?.message ?? "is no plan"}`,
  );
}
