import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { KillTrials, killedCommands } from "../adversary/import/kill-trials";

const KILLS = Number(process.env.RAFTERLINE_KILLS ?? 210);

describe("commands that are killed some hundred times at random moments", () => {
  const trials = new KillTrials({ detectors: 40, readingsEach: 1_200 });
  beforeAll(() => trials.prepare(killedCommands), 600_000);
  afterAll(() => trials.end());

  it("never lose, double or halve anything", async () => {
    for (let seed = 0; trials.tally.hits < KILLS && seed < 2 * KILLS; seed += 1) {
      const command = killedCommands[seed % killedCommands.length];
      if (command) await trials.killOnce(command, seed);
      if (seed % 20 === 19) process.stdout.write(`kills so far: ${JSON.stringify(trials.tally)}\n`);
    }
    process.stdout.write(`kills: ${JSON.stringify(trials.tally)}\n`);
    expect(trials.tally.hits).toBeGreaterThanOrEqual(KILLS);
    expect(trials.tally.before).toBeGreaterThan(0);
  }, 7_200_000);
});
