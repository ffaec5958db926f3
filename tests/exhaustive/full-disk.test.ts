import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { FullDiskTrials } from "../adversary/import/full-disk-trials";

const TRIALS = Number(process.env.RAFTERLINE_FULL_DISKS ?? 40);

describe("disks of many sizes", () => {
  const trials = new FullDiskTrials({ detectors: 40, readingsEach: 1_500 });
  beforeAll(() => trials.prepare(), 600_000);
  afterAll(() => trials.end());

  it("hold the store before or the store after, and say what to do when it is the one before", async () => {
    for (let trial = 0; trial <= TRIALS; trial += 1) {
      await trials.tryWith(trial % 3 === 2 ? "take-back" : "import", (trial / TRIALS) ** 1.5);
    }
    process.stdout.write(`disks made small by ${trials.kind}: ${JSON.stringify(trials.tally)}\n`);
    expect(trials.tally.full).toBeGreaterThan(TRIALS / 10);
    expect(trials.tally.done).toBeGreaterThan(0);
  });
});
