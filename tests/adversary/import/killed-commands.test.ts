import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { KillTrials, killedCommands } from "./kill-trials";

/** A small sample of what tests/exhaustive/import-kills.test.ts does some hundred times. */
describe("a command that is killed", () => {
  const trials = new KillTrials({ detectors: 30, readingsEach: 500 });
  beforeAll(() => trials.prepare(killedCommands), 120_000);
  afterAll(() => trials.end());

  it("leaves the store as before or as after, and run again ends as if it had never been killed", async () => {
    for (const command of killedCommands) await trials.killOnce(command, 1);
    // At least one kill must hit a running command, or this would prove nothing; on a quick machine it takes a few more.
    for (let seed = 2; trials.tally.hits === 0 && seed < 30; seed += 1) await trials.killOnce("import", seed);
    expect(trials.tally.hits).toBeGreaterThan(0);
  }, 300_000);
});
