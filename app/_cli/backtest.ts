import { writeFile } from "node:fs/promises";
import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { AppError, messageOf } from "@/lib/kernel/errors";
import type { BacktestProgress } from "@/lib/services/backtest-fleet";

const options = z.object({
  months: z.string(),
  horizon: z.string(),
  json: z.string().min(1).optional(),
  save: z.boolean(),
  progress: z.enum(["auto", "json", "none"]),
});

/** `backtest`: ranks past months again and sets each ranking beside what followed; the table goes to stdout. */
export function addBacktest({ program, withContext }: Program): Command {
  return program
    .command("backtest")
    .description("rank as of past months and show how much of the cost that followed each ranking held")
    .option("--months <number>", "how many starts of a month, the last ones that records allow, 1 to 60", "12")
    .option("--horizon <days>", "how far after each of them events are counted, 1 to 730", "90")
    .option("--json <file>", "also write everything as JSON to a file; - prints it in place of the table")
    .option("--no-save", "do not store it for the page that shows it")
    .addOption(new Option("--progress <form>", "progress on stderr").choices(["auto", "json", "none"]).default("auto"))
    .action((given: unknown) =>
      withContext(async (context) => {
        const { backtestFleet } = await import("@/lib/services/backtest-fleet");
        const { backtestText, backtestJson } = await import("@/lib/services/print-backtest");
        const { months, horizon, json, save, progress } = options.parse(given);
        const backtested = await backtestFleet(context, {
          months: numberOf(months, "months"),
          horizonDays: numberOf(horizon, "horizon"),
          save,
          onProgress: stepPrinter(progress),
        });
        if (json !== undefined && json !== "-") await writeJson(json, backtestJson(backtested));
        await print(json === "-" ? backtestJson(backtested) : backtestText(backtested));
        return exitCodes.done;
      }),
    );
}

function numberOf(text: string, what: string): number {
  if (/^\d{1,6}$/.test(text.trim())) return Number(text);
  throw new AppError("invalid_input", `${what} '${text}' is not a whole number; write 12, for instance`);
}

async function writeJson(file: string, text: string): Promise<void> {
  try {
    await writeFile(file, text);
  } catch (thrown) {
    throw new AppError("invalid_input", `${file} cannot be written (${messageOf(thrown)}); check its path`);
  }
}

const STEP_MS = 200;

/** Tells which past month is being ranked: on a terminal one line that is rewritten, or a JSON object a line. */
function stepPrinter(form: "auto" | "json" | "none"): (progress: BacktestProgress) => void {
  const terminal = form === "auto" && process.stderr.isTTY === true;
  if (form !== "json" && !terminal) return () => {};
  let shownAt = 0;
  return ({ what, done, total }) => {
    const now = Date.now();
    // Months are few and each takes seconds, so all of them are told; detectors only now and then.
    if (what === "detectors" && done < total && now - shownAt < STEP_MS) return;
    shownAt = now;
    if (form === "json") process.stderr.write(`${JSON.stringify({ step: "backtest", what, done, total })}\n`);
    else if (what === "past months" && done === total) process.stderr.write("\r\u001b[K");
    else process.stderr.write(`\r\u001b[K${done} of ${total} ${what}`);
  };
}
