import { Command, CommanderError, Option } from "commander";
import { z } from "zod";
import { addAnalyse } from "@/app/_cli/analyse";
import { addBacktest } from "@/app/_cli/backtest";
import { contextRunner } from "@/app/_cli/command-context";
import { addConflicts } from "@/app/_cli/conflicts";
import { exitCodeOf, exitCodes } from "@/app/_cli/exit";
import { addExplain } from "@/app/_cli/explain";
import { addImport } from "@/app/_cli/import";
import { addImports } from "@/app/_cli/imports";
import { addKeys } from "@/app/_cli/keys";
import { addMappings } from "@/app/_cli/mappings";
import { addQuality } from "@/app/_cli/quality";
import { addRank } from "@/app/_cli/rank";
import { addRejects } from "@/app/_cli/rejects";
import { addTakeBack } from "@/app/_cli/take-back";
import { addWatch } from "@/app/_cli/watch";
import { AppError } from "@/lib/kernel/errors";

/** Each command in the order of the help; a new one is its file and its line here. */
const commands = [
  addImport,
  addImports,
  addTakeBack,
  addRejects,
  addConflicts,
  addAnalyse,
  addRank,
  addBacktest,
  addExplain,
  addQuality,
  addMappings,
  addWatch,
  addKeys,
];

const environment = z.object({ RAFTERLINE_DB: z.string().min(1).optional() }).parse({
  RAFTERLINE_DB: process.env.RAFTERLINE_DB || undefined,
});

const program = new Command("rafterline")
  .description("Decides which beam smoke detectors deserve a preventive visit, and why.")
  .addOption(
    new Option("--db <file>", "the store; created on first use (or set RAFTERLINE_DB)").default(
      environment.RAFTERLINE_DB ?? "rafterline.sqlite",
    ),
  )
  .configureHelp({ showGlobalOptions: true })
  .exitOverride()
  .showHelpAfterError("(rafterline --help shows the commands)");

const withContext = contextRunner({ storeFile: storeFileOf, onFailure: exitCodeOf });
for (const add of commands) add({ program, withContext });

// A reader such as `head` may close the pipe early; that is no failure.
process.stdout.on("error", (error) => {
  if (!("code" in error) || error.code !== "EPIPE") throw error;
  process.exit(exitCodes.done);
});

try {
  await program.parseAsync();
} catch (thrown) {
  if (!(thrown instanceof CommanderError)) process.exitCode = exitCodeOf(thrown);
  else process.exitCode = thrown.exitCode === 0 ? exitCodes.done : exitCodes.unreadable;
}

function storeFileOf(): string {
  const { db } = z.object({ db: z.string() }).parse(program.opts());
  if (db.trim() === "") throw new AppError("invalid_input", "--db needs a file name, such as rafterline.sqlite");
  return db;
}
