import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { importIdOf } from "@/app/_cli/import-id";
import { writePieces } from "@/app/_cli/write-pieces";

const kinds = ["sites", "detectors", "readings", "events", "work"] as const;
const options = z.object({ kind: z.enum(kinds).optional(), out: z.string().optional() });

/** `rejects ID`: the rows of an import that did not go in, as CSV to be mended and imported again. */
export function addRejects({ program, withContext }: Program): Command {
  return program
    .command("rejects")
    .description("write the rows of an import that did not go in, with the reasons, as CSV")
    .argument("<id>", "number of the import")
    .addOption(new Option("--kind <kind>", "which rows, when several kinds have some").choices(kinds))
    .option("--out <file>", "write to a file and not to stdout")
    .action((id: string, given: unknown) =>
      withContext(async (context) => {
        const { downloadRejects } = await import("@/lib/services/download-rejects");
        const { kind, out } = options.parse(given);
        const pieces = downloadRejects(context, { importId: importIdOf(id), ...(kind === undefined ? {} : { kind }) });
        if (out === undefined) for await (const piece of pieces) await print(piece);
        else await writePieces(out, pieces);
        return exitCodes.done;
      }),
    );
}
