import type { Command } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { costsOf, wholeNumber } from "@/app/_cli/rank";

const options = z.object({ asOf: z.string().optional(), horizonDays: z.string(), costs: z.string().optional() });

/** `explain`: prints why one detector stands where it stands in the ranking, or why it is not worth a visit. */
export function addExplain({ program, withContext }: Program): Command {
  return program
    .command("explain")
    .argument("<detector>", "detector id")
    .description("print why a detector stands where it stands, or why it is not worth a visit, as of a moment")
    .option("--as-of <moment>", "a day (its end, UTC) or an instant; the latest record's moment when left out")
    .option("--horizon-days <days>", "how far ahead events are counted, 1 to 730", "90")
    .option("--costs <file>", "JSON file of costs in minor units that stand in for those of the settings")
    .action((detectorId: string, given: unknown) =>
      withContext(async (context) => {
        const { explainDetector } = await import("@/lib/services/explain-detector");
        const { asOf, horizonDays, costs } = options.parse(given);
        const text = await explainDetector(context, {
          detectorId,
          asOf: asOf ?? null,
          horizonDays: wholeNumber(horizonDays),
          costs: await costsOf(costs),
        });
        await print(text);
        return exitCodes.done;
      }),
    );
}
