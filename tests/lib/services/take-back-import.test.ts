import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { dataVersion } from "@/db/queries/data-version";
import { analyseFleet } from "@/lib/services/analyse-fleet";
import type { Context } from "@/lib/services/context";
import { listImports } from "@/lib/services/list-imports";
import { showFleet } from "@/lib/services/show-fleet";
import { takeBackImport } from "@/lib/services/take-back-import";
import { canonicalDump } from "../../fixtures/canonical-dump";
import { importTexts, makeContext, smallFiles, someOf } from "../../fixtures/import-folder";

type Sent = {
  readonly readings: [number, number, number][];
  readonly events: [number, string][];
  readonly label: number;
  readonly replaces: boolean;
};

/** Imports of few keys and few values, so that they repeat and contradict each other all the time. */
const sent: fc.Arbitrary<Sent> = fc.record({
  readings: fc.array(
    fc.tuple(fc.integer({ min: 1, max: 2 }), fc.integer({ min: 0, max: 5 }), fc.constantFrom(90, 91, 92.5)),
    { maxLength: 8 },
  ),
  events: fc.array(fc.tuple(fc.integer({ min: 0, max: 2 }), fc.constantFrom("genuine", "unwanted")), { maxLength: 4 }),
  label: fc.integer({ min: 0, max: 2 }),
  replaces: fc.boolean(),
});

async function importSent(context: Context, { readings, events, label, replaces }: Sent): Promise<number> {
  // Readings two months apart, so that several chunks and days are at stake.
  const time = (step: number) => new Date(Date.UTC(2025, step, 3)).toISOString();
  const report = await importTexts(
    context,
    {
      "sites.csv": smallFiles["sites.csv"],
      "detectors.csv": smallFiles["detectors.csv"].replace("North bay", `North bay ${label}`),
      "readings.csv": `detector_id,read_at,signal_pct\n${readings.map(([detector, step, signal]) => `D${detector},${time(step * 2)},${signal}\n`).join("")}`,
      "events.csv": `detector_id,began_at,condition,verdict\n${events.map(([step, verdict]) => `D1,${time(step)},fire,${verdict}\n`).join("")}`,
    },
    { replaces },
  );
  return report.id;
}

describe("taking back an import", () => {
  it("leaves the store as if it had never been made, whatever was imported before and after it", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(sent, { minLength: 1, maxLength: 4 }), fc.nat(), async (all, pick) => {
        const taken = pick % all.length;
        const context = makeContext();
        const ids: number[] = [];
        for (const one of all) ids.push(await importSent(context, one));
        const other = makeContext();
        for (const [index, one] of all.entries()) if (index !== taken) await importSent(other, one);
        await takeBackImport(context, { importId: ids[taken] ?? 0 });
        expect(await canonicalDump(context.store)).toEqual(await canonicalDump(other.store));
        context.store.close();
        other.store.close();
      }),
      { numRuns: 40 },
    );
  });

  it("leaves an empty store when all imports are taken back, latest first or earliest first", async () => {
    const empty = await canonicalDump(makeContext().store);
    for (const order of [
      [1, 2],
      [2, 1],
    ]) {
      const context = makeContext();
      await importTexts(context, smallFiles);
      await importTexts(context, smallFiles);
      for (const importId of order) await takeBackImport(context, { importId });
      expect(await canonicalDump(context.store)).toEqual(empty);
      expect(await dataVersion(context.store)).toBe(3);
    }
  });

  it("leaves no result on the screens when nothing is left that it was made from", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    await analyseFleet(context);
    expect(await showFleet(context)).toMatchObject({ state: "ready" });
    await takeBackImport(context, { importId: 1 });
    expect(await showFleet(context)).toEqual({ state: "no_result", sites: 0 });
  });

  it("is refused while rows of other imports need what it alone brought, naming them, and changes nothing", async () => {
    const context = makeContext();
    await importTexts(context, someOf("sites.csv", "detectors.csv"));
    await importTexts(context, someOf("readings.csv"));
    await importTexts(context, someOf("work.csv"));
    const before = await canonicalDump(context.store);
    await expect(takeBackImport(context, { importId: 1 })).rejects.toMatchObject({
      code: "conflict",
      message: expect.stringContaining("take back imports 2, 3 first"),
    });
    expect(await canonicalDump(context.store)).toEqual(before);
    await takeBackImport(context, { importId: 3 });
    await takeBackImport(context, { importId: 2 });
    await takeBackImport(context, { importId: 1 });
    expect((await canonicalDump(context.store)).sites).toEqual([]);
  });

  it("lets its waiting rows wait no longer, and marks it in the list", async () => {
    const context = makeContext({ now: Date.UTC(2026, 6, 2) });
    await importTexts(context, someOf("readings.csv"));
    await takeBackImport(context, { importId: 1 });
    const report = await importTexts(context, someOf("sites.csv", "detectors.csv"));
    expect(report.takenIn).toEqual([]);
    const { imports } = await listImports(context);
    expect(imports.map(({ id, takenBackAt }) => [id, takenBackAt])).toEqual([
      [2, null],
      [1, Date.UTC(2026, 6, 2)],
    ]);
  });

  it("is refused for an unknown import, one taken back before, and without the right", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    await expect(takeBackImport(context, { importId: 9 })).rejects.toMatchObject({ code: "not_found" });
    const reader = { ...context, permissions: new Set(["see", "import"] as const) };
    await expect(takeBackImport(reader, { importId: 1 })).rejects.toMatchObject({ code: "forbidden" });
    await takeBackImport(context, { importId: 1 });
    await expect(takeBackImport(context, { importId: 1 })).rejects.toMatchObject({ code: "conflict" });
  });
});
