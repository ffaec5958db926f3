import { afterAll, describe, expect, it } from "vitest";
import { FuzzWorld, seedPortions } from "./fuzz-world";

/** A small sample of what tests/exhaustive/fuzzed-files.test.ts does a hundred thousand times. */
describe("generated files", () => {
  const world = new FuzzWorld();
  afterAll(() => world.end());

  it("whose rows' fates are known by construction fare so, each row stored with exactly its values", async () => {
    for (const seeds of seedPortions(0, 250)) await world.tryTables(seeds);
    expect(world.tally.accepted).toBeGreaterThan(200);
    expect(world.tally.refused).toBeGreaterThan(50);
  });

  it("of damaged and senseless bytes end in time, with every row accounted for", async () => {
    for (const seeds of seedPortions(0, 250)) await world.tryBytes(seeds);
    expect(world.tally.unreadable).toBeGreaterThan(10);
  });
});
