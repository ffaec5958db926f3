import { afterAll, describe, expect, it } from "vitest";
import { FuzzWorld, seedPortions } from "../adversary/import/fuzz-world";

/** Files of each of the two kinds; the seeds go on from those of the small sample. */
const FILES = Number(process.env.RAFTERLINE_FUZZ_FILES ?? 110_000) / 2;
const FIRST_SEED = Number(process.env.RAFTERLINE_FUZZ_SEED ?? 1_000_000);

describe("a hundred thousand generated files", () => {
  const world = new FuzzWorld();
  afterAll(() => world.end());

  it("whose rows' fates are known by construction fare so, each row stored with exactly its values", async () => {
    for (const seeds of seedPortions(FIRST_SEED, FILES)) await world.tryTables(seeds);
    say(world);
  });

  it("of damaged and senseless bytes end in time, with every row accounted for", async () => {
    for (const seeds of seedPortions(FIRST_SEED, FILES)) await world.tryBytes(seeds);
    say(world);
    expect(world.tally.files).toBeGreaterThanOrEqual(2 * FILES);
  });
});

function say({ tally }: FuzzWorld): void {
  process.stdout.write(`generated files from seed ${FIRST_SEED}: ${JSON.stringify(tally)}\n`);
}
