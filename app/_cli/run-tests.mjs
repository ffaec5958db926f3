// Runs every check and test in one go and closes with one line: `N passed, N failed`.
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";

/** Zones with a half-hour offset and with summer in January: code that leans on the machine's zone fails in one of them. */
const otherZones = ["America/St_Johns", "Pacific/Auckland"];
const zoneTests = [
  "tests/lib/kernel",
  "tests/lib/records",
  "tests/lib/analyse/findings/seasonal-alarms",
  "tests/lib/analyse/fleet-history.test.ts",
  "tests/lib/rank/rank.test.ts",
];

/** @returns the exit code: 0 when nothing failed. `scope` is 'all', 'check' (no browser) or 'slow' (calibration, kills, fuzzing). */
export async function runTests({ root, cacheFolder, environment, scope }) {
  mkdirSync(cacheFolder, { recursive: true });
  const totals = { passed: 0, failed: 0, skipped: 0 };
  const failures = [];
  const bin = (name) => join(root, "node_modules", name);

  const step = (title, args) => {
    process.stdout.write(`\n== ${title}\n`);
    const { status } = spawnSync(process.execPath, args, { cwd: root, stdio: "inherit", env: environment });
    totals[status === 0 ? "passed" : "failed"] += 1;
    if (status !== 0) failures.push(title);
  };

  const suite = (title, args, env = {}) => {
    process.stdout.write(`\n== ${title}\n`);
    const report = join(cacheFolder, "vitest-report.json");
    rmSync(report, { force: true });
    const command = [bin("vitest/vitest.mjs"), "run", "-c", "tests/vitest.config.ts", ...args];
    const reporters = ["--reporter=dot", "--reporter=json", `--outputFile.json=${report}`];
    const options = { cwd: root, stdio: "inherit", env: { ...environment, ...env } };
    const { status } = spawnSync(process.execPath, [...command, ...reporters], options);
    const counts = existsSync(report) ? JSON.parse(readFileSync(report, "utf8")) : null;
    totals.passed += counts?.numPassedTests ?? 0;
    totals.failed += counts?.numFailedTests ?? 0;
    totals.skipped += (counts?.numPendingTests ?? 0) + (counts?.numTodoTests ?? 0);
    // A suite that could not even load counts as a failure: its tests never ran.
    if (status !== 0 && !counts?.numFailedTests) totals.failed += 1;
    failures.push(...failuresOf(counts, title));
    if (status !== 0 && !counts?.numFailedTests) failures.push(`${title}: ended with ${status}`);
  };

  if (scope !== "slow") {
    step("format and lint", [bin("@biomejs/biome/bin/biome"), "check", "--error-on-warnings", "."]);
    step("types of the routes", [bin("next/dist/bin/next"), "typegen"]);
    step("types", [bin("typescript/bin/tsc"), "--noEmit"]);
    step("documents made from the code are fresh", ["--import", "tsx", "docs/generate.ts", "--check"]);
    suite("unit tests", ["--project", "unit"], { TZ: "UTC" });
    for (const zone of otherZones)
      suite(`core tests on a machine in ${zone}`, ["--project", "unit", ...zoneTests], { TZ: zone });
  }
  if (scope !== "check") suite("calibration", ["--project", "slow"], { TZ: "UTC" });
  if (scope === "slow")
    suite("kills and generated files by the hundred thousand", ["--project", "exhaustive"], { TZ: "UTC" });
  if (scope === "all") suite("browser tests", ["--project", "browser"], { TZ: "UTC" });

  // Said again at the end, where whoever sees only the last lines finds it.
  for (const failure of failures) process.stdout.write(`\nfailed: ${failure}`);
  const skipped = totals.skipped > 0 ? `, ${totals.skipped} skipped` : "";
  process.stdout.write(`\n${totals.passed} passed, ${totals.failed} failed${skipped}\n`);
  return totals.failed === 0 ? 0 : 1;
}

/** Each failed test of a report by file and name, with the first lines of its message. */
function failuresOf(report, title) {
  const files = report?.testResults ?? [];
  return files.flatMap(({ name, message, assertionResults }) => {
    const failed = assertionResults.filter((one) => one.status === "failed");
    const words = failed.map((one) => `${one.fullName}\n  ${(one.failureMessages[0] ?? "").slice(0, 1_500)}`);
    const broken = failed.length === 0 && message ? [message.slice(0, 1_500)] : [];
    return [...words, ...broken].map((text) => `${title}: ${name}: ${text}`);
  });
}
