import type { Command } from "commander";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { importIdOf } from "@/app/_cli/import-id";

/** `take-back ID`: undoes an import whole. */
export function addTakeBack({ program, withContext }: Program): Command {
  return program
    .command("take-back")
    .description("undo an import whole; what other imports also sent stays")
    .argument("<id>", "number of the import")
    .action((id: string) =>
      withContext(async (context) => {
        const { takeBackImport } = await import("@/lib/services/take-back-import");
        const taken = await takeBackImport(context, { importId: importIdOf(id) });
        await print(`import ${taken.id} is taken back\n`);
        for (const { importId, kind, rows } of taken.waitingAgain) {
          await print(`${rows} ${kind} of import ${importId} wait again: their site or detector came with it alone\n`);
        }
        return exitCodes.done;
      }),
    );
}
