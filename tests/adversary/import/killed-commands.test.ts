import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { KillTrials, killedCommands } from "./kill-trials";

/** A small sample of what tests/exhaustive/import-kills.test.ts does some hundred times. */
describe("a command that is killed", () => {
  const trials = new KillTrials({ detectors: 30, readingsEach: 500 });
  beforeAll(() => trials.prepare(killedCommands), 120_000);
  afterAll(() => trials.end());

  it("leaves the store as before or as after, and run again ends as if it had never been killed", async () => {
    for (const seed of [1, 2]) for (const command of killedCommands) await trials.killOnce(command, seed);
    // At least one kill must have hit a running command, or this would prove nothing.
    expect(trials.tally).toMatchObject({ kills: 6 });
    expect(trials.tally.hits).toBeGreaterThan(0);
  }, 300_000);
});
