import { tableOf } from "@/tests/bench/calibration-page";
import type { SpeedLine } from "@/tests/bench/speed";

/** Slope of the least-squares line of log time on log size: 1 is linear growth. At least two different sizes. */
export function slopeOfLogs(points: readonly { readonly size: number; readonly time: number }[]): number {
  const logs = points.map(({ size, time }) => ({ x: Math.log(size), y: Math.log(time) }));
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const [x, y] = [mean(logs.map((point) => point.x)), mean(logs.map((point) => point.y))];
  const [above, below] = logs.reduce(
    ([products, squares], point) => [products + (point.x - x) * (point.y - y), squares + (point.x - x) ** 2],
    [0, 0],
  );
  return above / below;
}

/** The times as a Markdown table. */
export function speedPage(
  lines: readonly SpeedLine[],
  { growthOfCpu, growthOfWall }: { growthOfCpu: number | null; growthOfWall: number | null },
): string {
  const rows = lines.map((line) =>
    [line.detectors, line.readings, line.summariseS, line.analyseS, line.wallS, line.cpuS, line.msPerDetector].map(
      String,
    ),
  );
  return [
    tableOf(["detectors", "readings", "summarise, s", "analyse, s", "wall, s", "processor, s", "ms a detector"], rows),
    `Time grows as size to the power ${growthOfCpu ?? "-"} (processor) and ${growthOfWall ?? "-"} (wall).`,
  ].join("\n\n");
}
