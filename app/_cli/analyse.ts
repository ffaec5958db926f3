import type { Command } from "commander";
import { z } from "zod";
import type { Program } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { wholeNumber } from "@/app/_cli/rank";
import { analyseFleet } from "@/lib/services/analyse-fleet";

const options = z.object({ asOf: z.string().optional(), horizonDays: z.string() });

/** `analyse`: analyses the stored fleet and stores the answer for the screens; progress and outcome go to stderr. */
export function addAnalyse({ program, withContext }: Program): Command {
  return program
    .command("analyse")
    .description("analyse the stored fleet and store the answer that the screens show")
    .option("--as-of <moment>", "a day (its end, UTC) or an instant; the latest record's moment when left out")
    .option("--horizon-days <days>", "how far ahead events are counted, 1 to 730", "90")
    .action((given: unknown) =>
      withContext(async (context) => {
        const { asOf, horizonDays } = options.parse(given);
        const analysed = await analyseFleet(context, {
          asOf: asOf ?? null,
          horizonDays: wholeNumber(horizonDays),
          onProgress: ({ done, total }) => {
            if (process.stderr.isTTY) process.stderr.write(`\r\u001b[Kreadings of ${done} of ${total} detectors`);
          },
        });
        const { runId, detectors, findings, worthwhileVisits } = analysed;
        const clear = process.stderr.isTTY ? "\r\u001b[K" : "";
        process.stderr.write(
          `${clear}run ${runId} stored: ${detectors} detectors, ${findings} findings, ${worthwhileVisits} visits that pay for themselves\n`,
        );
        return exitCodes.done;
      }),
    );
}
