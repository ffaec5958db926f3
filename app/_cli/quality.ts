import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";

const formats = ["text", "json"] as const;
const options = z.object({ site: z.string().optional(), format: z.enum(formats) });

/** `quality`: prints what in the records limits what is said of each site. */
export function addQuality({ program, withContext }: Program): Command {
  return program
    .command("quality")
    .description("print gaps, late files, clocks that jump or drift, stuck values and missing work records, by site")
    .option("--site <id>", "one site; all of them when left out")
    .addOption(new Option("--format <format>", "layout").choices(formats).default("text"))
    .action((given: unknown) =>
      withContext(async (context) => {
        const { printQuality } = await import("@/lib/services/print-quality");
        const { site, format } = options.parse(given);
        await print(await printQuality(context, { siteId: site ?? null, format }));
        return exitCodes.done;
      }),
    );
}
