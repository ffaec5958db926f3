import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { importIdOf } from "@/app/_cli/import-id";
import { writePieces } from "@/app/_cli/write-pieces";

const kinds = ["sites", "detectors", "readings", "events", "work"] as const;
const options = z.object({ kind: z.enum(kinds).optional(), out: z.string().optional() });

/** `conflicts ID`: the rows of an import that differ from stored ones of the same key, as CSV. */
export function addConflicts({ program, withContext }: Program): Command {
  return program
    .command("conflicts")
    .description("write the rows of an import that differ from stored ones of the same key, value by value, as CSV")
    .argument("<id>", "number of the import")
    .addOption(new Option("--kind <kind>", "which rows, when several kinds have some").choices(kinds))
    .option("--out <file>", "write to a file and not to stdout")
    .action((id: string, given: unknown) =>
      withContext(async (context) => {
        const { downloadConflicts } = await import("@/lib/services/download-conflicts");
        const { kind, out } = options.parse(given);
        const pieces = downloadConflicts(context, {
          importId: importIdOf(id),
          ...(kind === undefined ? {} : { kind }),
        });
        if (out === undefined) for await (const piece of pieces) await print(piece);
        else await writePieces(out, pieces);
        return exitCodes.done;
      }),
    );
}
