import type { Command } from "commander";
import { measureSeed } from "@/tests/adversary/measure";
import { writeSection } from "@/tests/bench/calibration-page";
import { inParts, partOf } from "@/tests/bench/in-parts";
import { countFrom, printLine } from "@/tests/bench/lines";
import { type SeedLine, seedLine } from "@/tests/bench/ranking-figures";
import { rankingPage } from "@/tests/bench/ranking-page";
import { rankingSummary } from "@/tests/bench/ranking-summary";
import { tablesText } from "@/tests/bench/ranking-tables";

type Options = {
  seeds: number;
  first: number;
  detectors: number;
  workers: number;
  part?: string;
  tables?: boolean;
  write?: boolean;
};

/** Adds `bench ranking`. */
export function addRanking(bench: Command): void {
  bench
    .command("ranking")
    .description(
      "scores the ranking of fleets of the harsh simulator against their truth: one line a seed, then means and targets beside what is attainable with every cause known and by one who knows the rates",
    )
    .option("--seeds <count>", "fleets", countFrom(1), 10)
    .option("--first <seed>", "seed of the first fleet", countFrom(0), 1)
    .option("--detectors <count>", "detectors a fleet", countFrom(1), 1200)
    .option("--workers <count>", "processes to share the seeds", countFrom(1), 1)
    .option("--part <part>", "of the seeds only part k of n, as k/n, without a summary")
    .option(
      "--tables",
      "confusion tables of tasks and causes in each line; on standard error the summary to read and the tables added up",
    )
    .option("--write", "put the tables into docs/calibration.md")
    .action(async ({ seeds, first, detectors, workers, part, tables = false, write }: Options) => {
      const lines: SeedLine[] = [];
      const work = (place: number) =>
        seedLine(measureSeed(String(first + place), { detectors }), { withTables: tables });
      for await (const line of inParts(seeds, { workers, part: partOf(part), work })) {
        lines.push(line);
        printLine(line);
      }
      if (part) return;
      const summary = rankingSummary(lines);
      printLine(summary);
      const page = rankingPage(summary, { lines, detectors });
      if (tables) process.stderr.write(`${page}\n\n${tablesText(lines.flatMap((line) => line.tables ?? []))}\n`);
      if (write) writeSection("ranking", page);
    });
}
