import { describe, expect, it } from "vitest";
import { listImports } from "@/lib/services/list-imports";
import { canonicalDump } from "../../fixtures/canonical-dump";
import { importTexts, makeContext, type SmallFile, smallFiles, someOf } from "../../fixtures/import-folder";

const names = ["sites.csv", "detectors.csv", "readings.csv", "events.csv", "work.csv"] as const;

function permutations(items: readonly SmallFile[]): SmallFile[][] {
  if (items.length <= 1) return [[...items]];
  return items.flatMap((first) => permutations(items.filter((item) => item !== first)).map((rest) => [first, ...rest]));
}

describe("the five files", () => {
  it("give the same store in all 120 orders, in one import and one by one, and every row is credited to its own file", async () => {
    const reference = makeContext();
    await importTexts(reference, smallFiles);
    const expected = JSON.stringify(await canonicalDump(reference.store));
    const orders = permutations(names);
    expect(orders).toHaveLength(120);
    for (const order of orders) {
      const together = makeContext();
      await importTexts(together, someOf(...order));
      expect(JSON.stringify(await canonicalDump(together.store))).toBe(expected);
      const apart = makeContext();
      for (const name of order) await importTexts(apart, someOf(name));
      expect(JSON.stringify(await canonicalDump(apart.store))).toBe(expected);
      const { imports } = await listImports(apart);
      for (const { files } of imports) {
        expect(files[0]).toMatchObject({ waiting: 0, refused: 0, accepted: files[0]?.rows });
      }
      together.store.close();
      apart.store.close();
    }
  });

  it("wait row by row for what is missing, and say for what", async () => {
    const context = makeContext();
    const first = await importTexts(context, someOf("readings.csv", "detectors.csv"));
    expect(first.files).toMatchObject([
      { kind: "readings", rows: 6, accepted: 0, waiting: 6 },
      { kind: "detectors", rows: 3, accepted: 0, waiting: 3 },
    ]);
    const second = await importTexts(context, { "sites.csv": smallFiles["sites.csv"].replace(/S2.*\n/, "") });
    expect(second.takenIn.map(({ name, counts }) => [name, counts.accepted, counts.waiting])).toEqual([
      ["detectors.csv", 2, -2],
      ["readings.csv", 4, -4],
    ]);
    const third = await importTexts(context, someOf("sites.csv"));
    expect(third.takenIn.map(({ name, counts }) => [name, counts.accepted])).toEqual([
      ["detectors.csv", 1],
      ["readings.csv", 2],
    ]);
  });

  it("are judged when they are taken in: a row that waited may still be refused", async () => {
    const context = makeContext();
    await importTexts(context, {
      "readings.csv": "detector_id,read_at,signal_pct\nD1,2020-01-01T00:00:00Z,99\nD1,2025-01-01T00:00:00Z,99\n",
    });
    const report = await importTexts(context, someOf("sites.csv", "detectors.csv"));
    expect(report.takenIn[0]?.counts).toMatchObject({ accepted: 1, refused: 1, waiting: -2, rows: 0 });
  });
});
