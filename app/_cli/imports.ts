import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";

const options = z.object({ format: z.enum(["text", "json"]) });

/** `imports`: lists the imports, latest first. */
export function addImports({ program, withContext }: Program): Command {
  return program
    .command("imports")
    .description("list the imports, latest first")
    .addOption(new Option("--format <format>", "form of the list").choices(["text", "json"]).default("text"))
    .action((given: unknown) =>
      withContext(async (context) => {
        const { listImports } = await import("@/lib/services/list-imports");
        const { format } = options.parse(given);
        const { imports } = await listImports(context, { limit: 1_000 });
        if (format === "json") {
          await print(`${JSON.stringify(imports, null, 2)}\n`);
          return exitCodes.done;
        }
        for (const one of imports) {
          const state = one.takenBackAt === null ? "" : `, taken back ${new Date(one.takenBackAt).toISOString()}`;
          await print(`${one.id}  ${new Date(one.importedAt).toISOString()}${state}\n`);
          for (const { name, kind, rows, accepted, duplicates, conflicts, refused, waiting, leftOut } of one.files) {
            const counts = `${accepted} accepted, ${duplicates} there already, ${conflicts} in conflict, ${refused} refused, ${waiting} waiting${leftOut > 0 ? `, ${leftOut} left out` : ""}`;
            await print(
              `    ${name} (${kind ?? "not read"}): ${kind === null ? "nothing taken in" : `${rows} rows, ${counts}`}\n`,
            );
          }
        }
        if (imports.length === 0) await print("no imports yet\n");
        return exitCodes.done;
      }),
    );
}
