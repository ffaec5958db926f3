import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { dataVersion } from "@/db/queries/data-version";
import { analyseFleet } from "@/lib/services/analyse-fleet";
import type { Context } from "@/lib/services/context";
import { listImports } from "@/lib/services/list-imports";
import { showFleet } from "@/lib/services/show-fleet";
import { showImport } from "@/lib/services/show-import";
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

  it("lets rows of other imports wait again for what it alone brought, and counts each of them once", async () => {
    const context = makeContext();
    const directory = someOf("sites.csv", "detectors.csv");
    await importTexts(context, directory);
    await importTexts(context, someOf("readings.csv"));
    await importTexts(context, someOf("work.csv"));
    const before = await canonicalDump(context.store);
    const { waitingAgain } = await takeBackImport(context, { importId: 1 });
    expect(waitingAgain).toEqual([
      { importId: 2, kind: "readings", rows: 6 },
      { importId: 3, kind: "work", rows: 2 },
    ]);
    expect(await canonicalDump(context.store)).toEqual(await canonicalDump(makeContext().store));
    const { files } = await showImport(context, { importId: 2 });
    expect(files.map(({ name, rows, accepted, waiting }) => ({ name, rows, accepted, waiting }))).toEqual([
      { name: "readings.csv", rows: 0, accepted: 0, waiting: 0 },
      { name: "readings, waiting again", rows: 6, accepted: 0, waiting: 6 },
    ]);
    const again = await importTexts(context, directory);
    expect(again.takenIn.map(({ name, counts }) => [name, counts.accepted])).toEqual([
      ["readings, waiting again", 6],
      ["work, waiting again", 2],
    ]);
    expect(await canonicalDump(context.store)).toEqual(before);
  });

  it("lets detectors of other imports wait again for a site that it alone brought, and what hangs on them", async () => {
    const context = makeContext();
    await importTexts(context, someOf("sites.csv"));
    await importTexts(context, someOf("detectors.csv", "events.csv"));
    const before = await canonicalDump(context.store);
    const { waitingAgain } = await takeBackImport(context, { importId: 1 });
    expect(waitingAgain).toEqual([
      { importId: 2, kind: "detectors", rows: 3 },
      { importId: 2, kind: "events", rows: 3 },
    ]);
    await importTexts(context, someOf("sites.csv"));
    expect(await canonicalDump(context.store)).toEqual(before);
  });

  it("does not judge rows anew: a row refused for an installation day that is gone stays refused, with its reason", async () => {
    const context = makeContext();
    await importTexts(context, someOf("sites.csv", "detectors.csv"));
    const early = "detector_id,read_at,signal_pct\nD1,2020-01-01T00:00:00Z,90\n";
    const { id } = await importTexts(context, { "readings.csv": early });
    await takeBackImport(context, { importId: 1 });
    const { files } = await showImport(context, { importId: id });
    expect(files).toMatchObject([{ rows: 1, refused: 1, waiting: 0, rejects: [{ line: 2, column: "read_at" }] }]);
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
