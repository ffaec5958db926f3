import type { Command } from "commander";
import { writeSection } from "@/tests/bench/calibration-page";
import { findingsSummary } from "@/tests/bench/findings-summary";
import { findingsTables } from "@/tests/bench/findings-tables";
import { inParts, partOf } from "@/tests/bench/in-parts";
import { type FleetLine, type FleetSpec, judgeFleet } from "@/tests/bench/judged-fleet";
import { countFrom, printLine } from "@/tests/bench/lines";

type Options = { fleets: number; planted: number; detectors: number; workers: number; part?: string; write?: boolean };

/** Adds `bench findings`. */
export function addFindings(bench: Command): void {
  bench
    .command("findings")
    .description(
      "makes the findings of quiet fleets, where every one is wrong, and of planted ones; from the harsh and the simple simulator in turn; one line a fleet, then a summary",
    )
    .option("--fleets <count>", "quiet fleets", countFrom(0), 200)
    .option("--planted <count>", "planted fleets", countFrom(0), 20)
    .option("--detectors <count>", "detectors a fleet", countFrom(1), 200)
    .option("--workers <count>", "processes to share the fleets", countFrom(1), 1)
    .option("--part <part>", "of the fleets only part k of n, as k/n, without a summary")
    .option("--write", "put the tables into docs/calibration.md")
    .action(async ({ fleets, planted, detectors, workers, part, write }: Options) => {
      const specs = [
        ...specsOf({ kind: "quiet", count: fleets, detectors }),
        ...specsOf({ kind: "planted", count: planted, detectors }),
      ];
      const lines: FleetLine[] = [];
      const work = (place: number) => judgeAt(specs, place);
      for await (const line of inParts(specs.length, { workers, part: partOf(part), work })) {
        lines.push(line);
        printLine(line);
      }
      if (part) return;
      const summary = findingsSummary(lines);
      printLine(summary);
      if (write) writeSection("findings", findingsTables(summary, { detectors }));
    });
}

function specsOf({ kind, count, detectors }: { kind: FleetSpec["kind"]; count: number; detectors: number }) {
  return Array.from({ length: count }, (_, index): FleetSpec => {
    const simulator = index % 2 === 0 ? "adversary" : "simple";
    return { kind, simulator, seed: `${kind} ${index}`, detectors };
  });
}

function judgeAt(specs: readonly FleetSpec[], place: number): FleetLine {
  const spec = specs[place];
  if (!spec) throw new RangeError(`no fleet ${place}`);
  return judgeFleet(spec, specs.filter(({ kind }) => kind === spec.kind).indexOf(spec));
}
