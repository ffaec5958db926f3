import { Command } from "commander";
import { addFindings } from "./findings";
import { addImportBench } from "./import";
import { addRanking } from "./ranking";
import { referenceLines } from "./reference-lines";
import { addSpeed } from "./speed";

/** Measurements that are no tests: each prints JSON lines, so that two runs can be set side by side. */
const bench = new Command("bench").description("Measures the analysis; prints one JSON line a measurement.");

bench
  .command("reference")
  .argument("<folder>", "folder of reference files (JSON)")
  .description(
    "works every reference file of a folder with the code the product uses; fails when a case is out of tolerance",
  )
  .action((folder: string) => {
    let sound = true;
    for (const line of referenceLines(folder)) {
      process.stdout.write(`${JSON.stringify(line)}\n`);
      sound &&= !("error" in line) && line.within === line.cases;
    }
    if (!sound) process.exitCode = 1;
  });

addFindings(bench);
addImportBench(bench);
addRanking(bench);
addSpeed(bench);

await bench.parseAsync();
