import { parseArgs } from "node:util";
import { type Measured, measureSeed } from "@/tests/adversary/measure";
import type { Table } from "@/tests/adversary/score";
import { scoredKinds } from "@/tests/adversary/score";

const { values } = parseArgs({
  options: {
    seeds: { type: "string", default: "2" },
    first: { type: "string", default: "1" },
    detectors: { type: "string", default: "600" },
    quiet: { type: "boolean", default: false },
    brief: { type: "boolean", default: false },
  },
});

const measured: Measured[] = [];
for (let index = 0; index < Number(values.seeds); index += 1) {
  const seed = String(Number(values.first) + index);
  const one = measureSeed(seed, { detectors: Number(values.detectors), quiet: values.quiet });
  measured.push(one);
  if (!values.brief) console.log(JSON.stringify(one));
}
summarise(measured);

function summarise(all: readonly Measured[]): void {
  const row = (label: string, figure: (one: Measured) => number | null, target = "") => {
    const figures = all.map(figure);
    const known = figures.filter((value) => value !== null);
    const mean = known.length > 0 ? known.reduce((sum, value) => sum + value, 0) / known.length : null;
    console.log(
      [
        label.padEnd(44),
        shown(mean).padStart(9),
        ...figures.map((value) => shown(value).padStart(9)),
        ` ${target}`,
      ].join(" "),
    );
  };
  console.log(
    `\n${"".padEnd(44)} ${"mean".padStart(9)} ${all.map(({ seed }) => `seed ${seed}`.padStart(9)).join(" ")}`,
  );
  row("avoidable cost in our top 5 %", ({ score }) => score.capture.ours);
  row("  by most faults of 12 months", ({ score }) => score.capture.mostFaults);
  row("  by perfect knowledge", ({ score }) => score.capture.perfect);
  row("  by counts with every cause known", ({ score }) => score.capture.informed);
  row("  by our expected cost", ({ score }) => score.capture.mostExpectedCost);
  row("  avoided by the tasks we propose", ({ score }) => score.capture.oursByProposedTask);
  row("ours over most faults", ({ score }) => score.capture.overMostFaults, ">= 1.5");
  row("ours of perfect", ({ score }) => score.capture.ofPerfect, ">= .72");
  row("true net of our visits of perfect", ({ score }) => score.visits.ofPerfect, ">= .55");
  row("  of counts with every cause known", ({ score }) => score.visits.informedOfPerfect);
  row("  of most faults, clean", ({ score }) => score.visits.simpleOfPerfect);
  row(
    "  if the best task were proposed",
    ({ score }) => score.visits.trueNetIfBestTask / score.visits.trueNetOfPerfect,
  );
  row("visits proposed", ({ score }) => score.visits.proposed);
  row("  clairvoyant", ({ score }) => score.visits.clairvoyantVisits);
  row("  that truly pay", ({ score }) => score.visits.paying);
  row("predicted over true net of ours", ({ score }) => score.visits.predictedNetOfOurs / score.visits.trueNetOfOurs);
  row("right task (within 5 % of cost)", ({ score }) => score.visits.rightTask, ">= .95");
  row("  strict", ({ score }) => score.visits.rightTaskStrict);
  row("  where a visit truly pays", ({ score }) => score.visits.rightTaskWhereWorthwhile);
  for (const name of ["faults", "alarms"] as const) {
    row(`${name}: predicted over realised`, ({ score }) => score.calibration[name].predictedOverRealised, ".9-1.1");
    row(`${name}: predicted over expected`, ({ score }) => score.calibration[name].predictedOverExpected);
    row(`${name}: 90 % interval holds`, ({ score }) => score.calibration[name].coverage, ".85-.95");
    row("  in the top tenth", ({ score }) => score.calibration[name].coverageTopTenth, ".85-.95");
    row("  the oracle", ({ score }) => score.calibration[name].oracleCoverage);
    row("  the oracle in our top tenth", ({ score }) => score.calibration[name].oracleCoverageTopTenth);
    row(`${name}: log score`, ({ score }) => score.calibration[name].logScore);
    row("  the oracle", ({ score }) => score.calibration[name].oracleLogScore);
  }
  row("cost: predicted over expected", ({ score }) => score.calibration.cost.predictedOverExpected);
  for (const kind of scoredKinds) {
    row(`${kind}: listed`, ({ score }) => score.findings[kind].listed);
    row("  falsely", ({ score }) => score.findings[kind].falselyListed);
    row("  false share", ({ score }) => score.findings[kind].falseShare, "<= .05");
    row("  recall of the strong", ({ score }) => score.findings[kind].recall);
  }
  row("ms to simulate", ({ ms }) => ms.simulate);
  row("ms to summarise readings", ({ ms }) => ms.summarise);
  row("ms to analyse", ({ ms }) => ms.analyse);
  for (const name of ["faults", "alarms", "cost"] as const) tenthsOf(name, all);
  table(
    "true best task (row) and proposed, of proposed visits",
    all.map(({ score }) => score.tasks.proposed),
  );
  table(
    "the same of visits missed",
    all.map(({ score }) => score.tasks.missed),
  );
  table(
    "true cause (row) and named, of proposed visits",
    all.map(({ score }) => score.causes.proposed),
  );
  table(
    "the same of visits missed",
    all.map(({ score }) => score.causes.missed),
  );
}

function tenthsOf(name: "faults" | "alarms" | "cost", all: readonly Measured[]): void {
  const sums = Array.from({ length: 10 }, (_, place) => {
    const parts = all.map(({ score }) => score.calibration[name].tenths[place]);
    const sum = (key: "predicted" | "expected" | "realised") =>
      parts.reduce((whole, part) => whole + (part?.[key] ?? 0), 0);
    return { predicted: sum("predicted"), expected: sum("expected"), realised: sum("realised") };
  });
  console.log(`\n${name} by tenth of the prediction, largest first: predicted over realised (.7-1.4), over expected`);
  console.log(sums.map(({ predicted, realised }) => shown(predicted / realised).padStart(7)).join(" "));
  console.log(sums.map(({ predicted, expected }) => shown(predicted / expected).padStart(7)).join(" "));
}

function table(title: string, tables: readonly Table[]): void {
  const sums = new Map<string, Map<string, number>>();
  for (const [row, counts] of tables.flatMap((one) => Object.entries(one))) {
    const own = sums.get(row) ?? new Map<string, number>();
    sums.set(row, own);
    for (const [column, count] of Object.entries(counts)) own.set(column, (own.get(column) ?? 0) + count);
  }
  console.log(`\n${title}`);
  for (const [row, counts] of sums) {
    const cells = [...counts].sort((a, b) => b[1] - a[1]).map(([column, count]) => `${column} ${count}`);
    console.log(`  ${row.padEnd(28)} ${cells.join(", ")}`);
  }
}

function shown(value: number | null): string {
  if (value === null) return "-";
  return Math.abs(value) >= 100 ? value.toFixed(0) : value.toFixed(3);
}
