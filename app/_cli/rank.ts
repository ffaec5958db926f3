import { readFile } from "node:fs/promises";
import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { AppError, messageOf } from "@/lib/kernel/errors";
import type { RankingFormat } from "@/lib/services/rank-fleet";

const rankingFormats = ["json", "csv", "text"] as const satisfies readonly RankingFormat[];
const options = z.object({
  asOf: z.string().optional(),
  horizonDays: z.string(),
  costs: z.string().optional(),
  format: z.enum(rankingFormats),
});

/** `rank`: prints which detectors deserve a visit as of a moment; only the ranking goes to stdout, nothing is stored. */
export function addRank({ program, withContext }: Program): Command {
  return program
    .command("rank")
    .description("print which detectors deserve a visit, with reasons and money, as of a moment")
    .option("--as-of <moment>", "a day (its end, UTC) or an instant; the latest record's moment when left out")
    .option("--horizon-days <days>", "how far ahead events are counted, 1 to 730", "90")
    .option("--costs <file>", "JSON file of costs in minor units that stand in for those of the settings")
    .addOption(new Option("--format <format>", "form of the ranking").choices(rankingFormats).default("text"))
    .action((given: unknown) =>
      withContext(async (context) => {
        const { rankFleet } = await import("@/lib/services/rank-fleet");
        const { asOf, horizonDays, costs, format } = options.parse(given);
        const text = await rankFleet(context, {
          asOf: asOf ?? null,
          horizonDays: wholeNumber(horizonDays),
          costs: await costsOf(costs),
          format,
        });
        await print(text);
        return exitCodes.done;
      }),
    );
}

/** A number as typed; throws `invalid_input` when it is none. */
export function wholeNumber(text: string): number {
  if (!/^\d{1,6}$/.test(text.trim())) {
    throw new AppError("invalid_input", `horizon '${text}' is not a whole number of days; write 90, for instance`);
  }
  return Number(text);
}

/** The costs file as typed, with its text; null when none was. Throws `invalid_input` when it cannot be read. */
export async function costsOf(file: string | undefined): Promise<{ name: string; text: string } | null> {
  if (file === undefined) return null;
  try {
    return { name: file, text: await readFile(file, "utf8") };
  } catch (thrown) {
    throw new AppError("invalid_input", `costs file ${file} cannot be read (${messageOf(thrown)}); check its path`);
  }
}
