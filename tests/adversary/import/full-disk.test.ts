import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { FullDiskTrials } from "./full-disk-trials";

describe("a full disk", () => {
  const trials = new FullDiskTrials({ detectors: 30, readingsEach: 600 });
  beforeAll(() => trials.prepare(), 120_000);
  afterAll(() => trials.end());

  it("changes nothing, is told with what to do, and harms nothing once there is room", async () => {
    for (const share of [0, 0.1, 0.25, 1]) await trials.tryWith("import", share);
    for (const share of [0, 0.2]) await trials.tryWith("take-back", share);
    expect(trials.tally.full).toBeGreaterThan(2);
    expect(trials.tally.done).toBeGreaterThan(0);
  }, 120_000);
});
