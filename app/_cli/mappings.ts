import { writeFileSync } from "node:fs";
import type { Command } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { jsonInFile, mappingInFile } from "@/app/_cli/read-options";
import { AppError, messageOf } from "@/lib/kernel/errors";
import type { FilePreview } from "@/lib/services/preview-file";

const guessOptions = z.object({
  kind: z.enum(["sites", "detectors", "readings", "events", "work"]).optional(),
  out: z.string().min(1).optional(),
});
const previewOptions = z.object({ mapping: z.string().min(1), rows: z.coerce.number().int().min(1).max(1_000) });

/** `mappings ...`: makes, tries, saves and lists the mappings by which foreign tables are read. */
export function addMappings(commands: Program): Command {
  const parent = commands.program
    .command("mappings")
    .description("make, try, save and list the mappings by which foreign tables are read");
  const sub = { ...commands, program: parent };
  addGuess(sub);
  addPreview(sub);
  addSave(sub);
  addList(sub);
  addShow(sub);
  addRetire(sub);
  return parent;
}

function addGuess({ program, withContext }: Program): void {
  program
    .command("guess")
    .description("guess a mapping for a file, as JSON to be looked over; what is in doubt goes to stderr")
    .argument("<file>", "the table")
    .option("--kind <kind>", "what the file holds, when it is known")
    .option("--out <file>", "write to a file and not to stdout")
    .action((file: string, given: unknown) =>
      withContext(async (context) => {
        const { previewFile } = await import("@/lib/services/preview-file");
        const { readLook } = await import("@/lib/services/staged-reading");
        const { kind, out } = guessOptions.parse(given);
        const look = readLook(kind === undefined ? {} : { kind });
        const preview = await previewFile(context, { name: file, path: file, look });
        if (preview.flaw !== null) throw new AppError("invalid_input", `${file} ${preview.flaw}`);
        const text = `${JSON.stringify(preview.draft, null, 2)}\n`;
        if (out === undefined) await print(text);
        else writeText(out, text);
        process.stderr.write(doubtsOf(preview));
        return preview.missing.length === 0 ? exitCodes.done : exitCodes.incomplete;
      }),
    );
}

function addPreview({ program, withContext }: Program): void {
  program
    .command("preview")
    .description("show what a mapping makes of the rows of a file; nothing is stored")
    .argument("<file>", "the table")
    .requiredOption("--mapping <name>", "a saved mapping, or a .json file, which may still lack columns")
    .option("--rows <n>", "how many rows to show", "20")
    .action((file: string, given: unknown) =>
      withContext(async (context) => {
        const { previewFile } = await import("@/lib/services/preview-file");
        const { readLook } = await import("@/lib/services/staged-reading");
        const parsed = previewOptions.safeParse(given);
        if (!parsed.success) throw new AppError("invalid_input", "--rows needs a whole number from 1 to 1000");
        const { mapping, rows } = parsed.data;
        const look = readLook(mapping.endsWith(".json") ? { draft: jsonInFile(mapping) } : { saved: mapping });
        const preview = await previewFile(context, { name: file, path: file, look });
        if (preview.flaw !== null) throw new AppError("invalid_input", `${file} ${preview.flaw}`);
        for (const row of preview.rows.slice(0, rows)) {
          const cells = row.cells.map(({ ours, text }) => `${ours} ${text === "" ? "(empty)" : text}`).join(", ");
          await print(`line ${row.line}: ${row.outcome}${row.reason === null ? "" : ` (${row.reason})`}; ${cells}\n`);
        }
        process.stderr.write(doubtsOf(preview));
        return exitCodes.done;
      }),
    );
}

function addSave({ program, withContext }: Program): void {
  program
    .command("save")
    .description("save a mapping under a name; under a name that exists, as its next version")
    .argument("<name>", "the name")
    .argument("<file>", "the mapping, a .json file")
    .action((name: string, file: string) =>
      withContext(async (context) => {
        const { saveMapping } = await import("@/lib/services/mappings");
        const saved = await saveMapping(context, { name, mapping: await mappingInFile(file) });
        await print(`saved as ${saved.name}, version ${saved.version}\n`);
        return exitCodes.done;
      }),
    );
}

function addList({ program, withContext }: Program): void {
  program
    .command("list")
    .description("list the saved mappings with their versions")
    .action(() =>
      withContext(async (context) => {
        const { listMappings } = await import("@/lib/services/mappings");
        const all = await listMappings(context);
        for (const { name, retiredAt, versions } of all) {
          const last = versions.at(-1)?.version ?? 0;
          const files = versions.reduce((total, one) => total + one.files, 0);
          const state = retiredAt === null ? "" : ", retired";
          await print(`${name}  version ${last}, ${files} ${files === 1 ? "file" : "files"} read${state}\n`);
        }
        if (all.length === 0) await print("no mappings yet\n");
        return exitCodes.done;
      }),
    );
}

function addShow({ program, withContext }: Program): void {
  program
    .command("show")
    .description("print a saved mapping as JSON")
    .argument("<name>", "NAME for the latest version, or NAME@VERSION")
    .action((text: string) =>
      withContext(async (context) => {
        const { mappingNameOf, showMapping } = await import("@/lib/services/mappings");
        const { mapping } = await showMapping(context, mappingNameOf(text));
        await print(`${JSON.stringify(mapping, null, 2)}\n`);
        return exitCodes.done;
      }),
    );
}

function addRetire({ program, withContext }: Program): void {
  program
    .command("retire")
    .description("take a mapping off the offer; files it has read keep it")
    .argument("<name>", "the name")
    .action((name: string) =>
      withContext(async (context) => {
        const { retireMapping } = await import("@/lib/services/mappings");
        await retireMapping(context, { name });
        await print(`${name} is retired; saving it anew brings it back\n`);
        return exitCodes.done;
      }),
    );
}

function doubtsOf({ missing, questions, doubts, ours }: FilePreview): string {
  const words = ours.flatMap((one) => one.theirWords.filter(({ known }) => !known).map(({ word }) => `'${word}'`));
  const lines = [
    ...missing.map((column) => `needed and not found: ${column}`),
    ...questions.map(({ reason }) => `open question: ${reason}`),
    ...doubts.map(({ column, reason }) => `in doubt: ${column}: ${reason}`),
    ...(words.length === 0 ? [] : [`words no list knows: ${[...new Set(words)].slice(0, 50).join(", ")}`]),
  ];
  return lines.map((line) => `${line}\n`).join("");
}

function writeText(path: string, text: string): void {
  try {
    writeFileSync(path, text);
  } catch (thrown) {
    throw new AppError("invalid_input", `${path} cannot be written: ${messageOf(thrown)}`);
  }
}
