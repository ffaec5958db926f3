import { readFileSync } from "node:fs";
import { type Command, Option } from "commander";
import { z } from "zod";
import { AppError, messageOf } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import type { ReadChoices } from "@/lib/services/import/file-to-import";

const separatorWords = { comma: ",", semicolon: ";", tab: "\t", pipe: "|" } as const;

const options = z.object({
  mapping: z.string().min(1).optional(),
  kind: z.enum(["sites", "detectors", "readings", "events", "work"]).optional(),
  dates: z.enum(["year-first", "day-first", "month-first"]).optional(),
  decimal: z.enum(["point", "comma"]).optional(),
  encoding: z.enum(["utf-8", "utf-16le", "utf-16be", "windows-1252"]).optional(),
  separator: z.enum(["comma", "semicolon", "tab", "pipe"]).optional(),
  sheet: z.string().min(1).optional(),
  headerLine: z.coerce.number().int().min(0).max(1_000).optional(),
});

/** Adds to a command the options that say how foreign tables are read. */
export function withReadOptions(command: Command): Command {
  return command
    .option("--mapping <name>", "read by a saved mapping, NAME or NAME@VERSION, or by the mapping in a .json file")
    .addOption(
      new Option("--kind <kind>", "what the files must hold").choices([
        "sites",
        "detectors",
        "readings",
        "events",
        "work",
      ]),
    )
    .addOption(
      new Option("--dates <order>", "order of dates that could be read two ways").choices([
        "year-first",
        "day-first",
        "month-first",
      ]),
    )
    .addOption(
      new Option("--decimal <sign>", "decimal sign of numbers that could be read two ways").choices(["point", "comma"]),
    )
    .addOption(
      new Option("--encoding <name>", "instead of the one found").choices([
        "utf-8",
        "utf-16le",
        "utf-16be",
        "windows-1252",
      ]),
    )
    .addOption(new Option("--separator <name>", "instead of the one found").choices(Object.keys(separatorWords)))
    .option("--sheet <name>", "sheet of a workbook, instead of the first with rows")
    .option("--header-line <n>", "line that names the columns, instead of the one found; 0: none does");
}

/** What the options of {@link withReadOptions} say; a saved mapping is looked up. Throws AppError for one that is not there. */
export async function readChoicesOf(context: Context, given: unknown): Promise<ReadChoices> {
  const parsed = options.safeParse(given);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    throw new AppError(
      "invalid_input",
      `--${String(issue?.path[0] ?? "option")}: ${issue?.message ?? "is not readable"}`,
    );
  }
  const { mapping, kind, dates, decimal, encoding, separator, sheet, headerLine } = parsed.data;
  const table = {
    ...(encoding && { encoding }),
    ...(separator && { separator: separatorWords[separator] }),
    ...(sheet && { sheet }),
    ...(headerLine !== undefined && { headerLine }),
  };
  return {
    ...(kind && { kind }),
    ...(dates && { dates: orderWords[dates] }),
    ...(decimal && { decimal }),
    ...(Object.keys(table).length > 0 && { table }),
    ...(mapping !== undefined && (await mappingOf(context, mapping))),
  };
}

const orderWords = { "year-first": "year_first", "day-first": "day_first", "month-first": "month_first" } as const;

async function mappingOf(context: Context, text: string): Promise<ReadChoices> {
  if (text.endsWith(".json")) return { mapping: await mappingInFile(text) };
  const { mappingNameOf, showMapping } = await import("@/lib/services/mappings");
  const saved = await showMapping(context, mappingNameOf(text));
  return { mapping: saved.mapping, mappingVersionKey: saved.versionKey };
}

/** The mapping written in a file of JSON; throws AppError invalid_input with what is wrong in it. */
export async function mappingInFile(path: string) {
  const { readMapping } = await import("@/lib/services/mappings");
  return readMapping(jsonInFile(path), { name: path });
}

/** The value of a file of JSON; throws AppError invalid_input when it cannot be read. */
export function jsonInFile(path: string): unknown {
  try {
    return JSON.parse(readFileSync(path, "utf8"));
  } catch (thrown) {
    throw new AppError("invalid_input", `${path} cannot be read as JSON: ${messageOf(thrown)}`);
  }
}
