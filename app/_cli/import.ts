import { type Command, Option } from "commander";
import { z } from "zod";
import type { Program } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { progressPrinter } from "@/app/_cli/progress";

const options = z.object({
  replace: z.boolean().default(false),
  fold: z.enum(["first", "second"]).optional(),
  format: z.enum(["text", "json"]),
  progress: z.enum(["auto", "json", "none"]),
});

/** `import FILE...`: takes in files as one import and reports what became of every row. */
export function addImport({ program, withContext }: Program): Command {
  return program
    .command("import")
    .description("take in CSV files of sites, detectors, readings, events and work, in any order")
    .argument("<file...>", "the files; their headers say which they are")
    .option("--replace", "let rows that differ from stored ones of the same key take their place")
    .addOption(
      new Option("--fold <which>", "what a wall time means that the clock showed twice").choices(["first", "second"]),
    )
    .addOption(new Option("--format <format>", "form of the report").choices(["text", "json"]).default("text"))
    .addOption(new Option("--progress <form>", "progress on stderr").choices(["auto", "json", "none"]).default("auto"))
    .addHelpText(
      "after",
      "\nExit code: 0 all rows are in or were there, 3 some did not go in, 2 a file could not be read or the call is wrong.",
    )
    .action((files: string[], given: unknown) =>
      withContext(async (context) => {
        const { importFiles } = await import("@/lib/services/import-files");
        const { printImportJson, printImportText } = await import("@/app/_cli/import-output");
        const { replace, fold, format, progress } = options.parse(given);
        const report = await importFiles(context, {
          files: files.map((path) => ({ name: path, path })),
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
