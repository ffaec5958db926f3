import { type Command, Option } from "commander";
import { z } from "zod";
import type { Program } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { wholeNumber } from "@/app/_cli/rank";

const options = z.object({
  asOf: z.string().optional(),
  horizonDays: z.string(),
  progress: z.enum(["auto", "json", "none"]),
});

/** `analyse`: analyses the stored fleet and stores the answer for the screens; progress and outcome go to stderr. */
export function addAnalyse({ program, withContext }: Program): Command {
  return program
    .command("analyse")
    .description("analyse the stored fleet and store the answer that the screens show")
    .option("--as-of <moment>", "a day (its end, UTC) or an instant; the latest record's moment when left out")
    .option("--horizon-days <days>", "how far ahead events are counted, 1 to 730", "90")
    .addOption(new Option("--progress <form>", "progress on stderr").choices(["auto", "json", "none"]).default("auto"))
    .action((given: unknown) =>
      withContext(async (context) => {
        const { analyseFleet } = await import("@/lib/services/analyse-fleet");
        const { asOf, horizonDays, progress } = options.parse(given);
        const analysed = await analyseFleet(context, {
          asOf: asOf ?? null,
          horizonDays: wholeNumber(horizonDays),
          onProgress: readingsPrinter(progress),
        });
        const { runId, detectors, findings, worthwhileVisits } = analysed;
        const clear = progress === "auto" && process.stderr.isTTY ? "\r\u001b[K" : "";
        process.stderr.write(
          `${clear}run ${runId} stored: ${detectors} detectors, ${findings} findings, ${worthwhileVisits} visits that pay for themselves\n`,
        );
        return exitCodes.done;
      }),
    );
}

const STEP_MS = 200;

/** Tells how many detectors' readings are in: on a terminal one line that is rewritten, or seldom a JSON object a line. */
function readingsPrinter(form: "auto" | "json" | "none"): (progress: { done: number; total: number }) => void {
  const terminal = form === "auto" && process.stderr.isTTY === true;
  if (form !== "json" && !terminal) return () => {};
  let shownAt = 0;
  return ({ done, total }) => {
    const now = Date.now();
    if (done < total && now - shownAt < STEP_MS) return;
    shownAt = now;
    if (form === "json")
      process.stderr.write(`${JSON.stringify({ step: "analyse", what: "detectors", done, total })}\n`);
    else process.stderr.write(`\r\u001b[Kreadings of ${done} of ${total} detectors`);
  };
}
