import type { Command } from "commander";
import { analyseAdversary } from "@/tests/adversary/measure";
import { simulateAdversary } from "@/tests/adversary/simulate";
import { writeSection } from "@/tests/bench/calibration-page";
import { countsFrom, printLine } from "@/tests/bench/lines";
import { rounded } from "@/tests/bench/proportion";
import { slopeOfLogs, speedPage } from "@/tests/bench/speed-page";

/** One line of the bench: seconds of wall and processor time. */
export type SpeedLine = {
  readonly detectors: number;
  readonly readings: number;
  readonly summariseS: number;
  readonly analyseS: number;
  readonly wallS: number;
  readonly cpuS: number;
  readonly msPerDetector: number;
};

/** Adds `bench speed`. */
export function addSpeed(bench: Command): void {
  bench
    .command("speed")
    .description(
      "times readings to ranking, all kinds and the forecast included, in one process for fleets of three years of 6-hourly readings; then how it grows: 1 is linearly",
    )
    .option("--detectors <counts>", "sizes of the fleets, parted by commas", countsFrom, [300, 600, 1200, 2400])
    .option("--write", "put the table into docs/calibration.md")
    .action(({ detectors, write }: { detectors: number[]; write?: boolean }) => {
      // The first run pays for compiling the code, which is no part of how it grows.
      timed(60);
      const lines: SpeedLine[] = [];
      for (const size of detectors) {
        const line = timed(size);
        lines.push(line);
        printLine(line);
      }
      const slope = (of: "cpuS" | "wallS") => {
        const points = lines.map((line) => ({ size: line.detectors, time: line[of] }));
        return lines.length > 1 ? rounded(slopeOfLogs(points)) : null;
      };
      const summary = { summary: "speed" as const, growthOfCpu: slope("cpuS"), growthOfWall: slope("wallS") };
      printLine(summary);
      if (write) writeSection("speed", speedPage(lines, summary));
    });
}

function timed(detectors: number): SpeedLine {
  const fleet = simulateAdversary({ seed: "speed", detectors, paths: 1 });
  const before = process.cpuUsage();
  const { summariseMs, analyseMs } = analyseAdversary(fleet);
  const { user, system } = process.cpuUsage(before);
  const wallS = (summariseMs + analyseMs) / 1000;
  return {
    detectors,
    readings: [...fleet.series.values()].reduce((sum, { readAt }) => sum + readAt.length, 0),
    summariseS: rounded(summariseMs / 1000),
    analyseS: rounded(analyseMs / 1000),
    wallS: rounded(wallS),
    cpuS: rounded((user + system) / 1e6),
    msPerDetector: rounded((user + system) / 1000 / detectors),
  };
}
