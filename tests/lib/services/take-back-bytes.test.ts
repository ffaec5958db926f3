import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Context } from "@/lib/services/context";
import { takeBackImport } from "@/lib/services/take-back-import";
import { importTexts, makeContext, someOf } from "../../fixtures/import-folder";

type Sent = { readonly readings: [number, number, number][]; readonly replaces: boolean };

/** Few detectors, times and values, so that imports repeat and contradict each other, and themselves. */
const sent: fc.Arbitrary<Sent> = fc.record({
  readings: fc.array(
    fc.tuple(fc.integer({ min: 1, max: 2 }), fc.integer({ min: 0, max: 9 }), fc.constantFrom(90, 91, 92.5)),
    { maxLength: 14 },
  ),
  replaces: fc.boolean(),
});

async function send(context: Context, { readings, replaces }: Sent): Promise<number> {
  // Four hours apart and then two months, so that days and chunks fill and end.
  const time = (step: number) => new Date(Date.UTC(2025, step > 6 ? step - 2 : 0, 3, step * 4)).toISOString();
  const lines = readings.map(([detector, step, signal]) => `D${detector},${time(step)},${signal}\n`);
  const files = { "readings.csv": `detector_id,read_at,signal_pct\n${lines.join("")}` };
  return (await importTexts(context, files, { replaces })).id;
}

/** Every row of the tables that hold readings, byte by byte. */
function readingTables({ store }: Context): unknown {
  return ["reading_chunks", "reading_claims", "reading_days"].map((table) =>
    store.sqlite
      .prepare(`SELECT * FROM ${table} ORDER BY 1, 2, 3`)
      .all()
      .map((row) =>
        Object.entries(row ?? {}).map(([column, value]) => [
          column,
          Buffer.isBuffer(value) ? value.toString("hex") : value,
        ]),
      ),
  );
}

describe("taking back an import of readings", () => {
  it("leaves chunks, days and claims byte for byte as they would be had it sent none", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(sent, { minLength: 1, maxLength: 4 }), fc.nat(), async (all, pick) => {
        const taken = pick % all.length;
        const [context, other] = [makeContext(), makeContext()];
        for (const one of [context, other]) await importTexts(one, someOf("sites.csv", "detectors.csv"));
        const ids: number[] = [];
        for (const [index, one] of all.entries()) {
          ids.push(await send(context, one));
          await send(other, index === taken ? { readings: [], replaces: one.replaces } : one);
        }
        await takeBackImport(context, { importId: ids[taken] ?? 0 });
        expect(readingTables(context)).toEqual(readingTables(other));
        context.store.close();
        other.store.close();
      }),
      { numRuns: 15 },
    );
  });
});
