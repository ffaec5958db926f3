import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Context } from "@/lib/services/context";
import { takeBackImport } from "@/lib/services/take-back-import";
import { logicalDump } from "../../fixtures/dump-store";
import { importTexts, makeContext } from "../../fixtures/import-folder";

type Sent = {
  readonly sites: readonly { id: number; name: number }[];
  readonly detectors: readonly { id: number; site: number; label: number }[];
  readonly readings: readonly { detector: number; step: number; signalPct: number; temperatureC: string }[];
  readonly events: readonly { detector: number; step: number; verdict: string }[];
  readonly work: readonly { detector: number; step: number; note: string }[];
  readonly replaces: boolean;
};

const few = (max: number) => fc.integer({ min: 0, max });

/** Imports of few keys and few values, so that they repeat, contradict and wait for each other all the time. */
const sent: fc.Arbitrary<Sent> = fc.record({
  sites: fc.array(fc.record({ id: few(1), name: few(1) }), { maxLength: 2 }),
  // Each detector once a file: which of two rows at different sites came first is not kept once one of them waited.
  detectors: fc.uniqueArray(fc.record({ id: few(2), site: few(2), label: few(1) }), {
    maxLength: 3,
    selector: ({ id }) => id,
  }),
  readings: fc.array(
    fc.record({
      detector: few(2),
      step: few(3),
      signalPct: fc.constantFrom(0.0000001, 90, 91.25, 100.123456789),
      temperatureC: fc.constantFrom("", "-3.5"),
    }),
    { maxLength: 6 },
  ),
  events: fc.array(fc.record({ detector: few(2), step: few(2), verdict: fc.constantFrom("genuine", "unwanted", "") }), {
    maxLength: 3,
  }),
  work: fc.array(
    fc.record({ detector: few(2), step: few(1), note: fc.constantFrom("", 'said "done", left', "a\nb") }),
    {
      maxLength: 2,
    },
  ),
  replaces: fc.boolean(),
});

// Two months apart, so that several chunks and days are at stake.
const time = (step: number) => new Date(Date.UTC(2025, step * 2, 3)).toISOString();

async function importSent(context: Context, one: Sent): Promise<number> {
  const lines = <Row>(header: string, rows: readonly Row[], line: (row: Row) => string) =>
    [header, ...rows.map(line), ""].join("\n");
  const quoted = (text: string) => `"${text.replaceAll('"', '""')}"`;
  const files = {
    "sites.csv": lines(
      "site_id,name,latitude,longitude,time_zone",
      one.sites,
      ({ id, name }) => `S${id},Hall ${name},60,25,UTC`,
    ),
    "detectors.csv": lines(
      "detector_id,site_id,label,form,path_length_m,height_m,bearing_deg,installed_on,alarm_threshold_pct,access",
      one.detectors,
      ({ id, site, label }) => `D${id},S${site},Bay ${label},reflective,60,9,90,2024-01-01,35,ladder`,
    ),
    "readings.csv": lines(
      "detector_id,read_at,signal_pct,temperature_c",
      one.readings,
      ({ detector, step, signalPct, temperatureC }) =>
        `D${detector},${time(step)},${signalPct.toFixed(9)},${temperatureC}`,
    ),
    "events.csv": lines(
      "detector_id,began_at,condition,verdict",
      one.events,
      ({ detector, step, verdict }) => `D${detector},${time(step)},fire,${verdict}`,
    ),
    "work.csv": lines(
      "detector_id,done_at,task,note",
      one.work,
      ({ detector, step, note }) => `D${detector},${time(step)},clean,${quoted(note)}`,
    ),
  };
  return (await importTexts(context, files, { replaces: one.replaces })).id;
}

describe("imports taken back in any order", () => {
  it("leave the store as importing only the others does, rows that wait for what is gone included", async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(sent, { minLength: 1, maxLength: 5 }),
        fc.array(fc.nat(), { minLength: 1, maxLength: 4 }),
        async (all, picks) => {
          const context = makeContext();
          const ids: number[] = [];
          for (const one of all) ids.push(await importSent(context, one));
          const standing = new Set(all.keys());
          for (const pick of picks) {
            const index = pick % all.length;
            if (!standing.delete(index)) continue;
            await takeBackImport(context, { importId: ids[index] ?? 0 });
          }
          const other = makeContext();
          for (const index of standing) {
            const one = all[index];
            if (one) await importSent(other, one);
          }
          expect(await logicalDump(context.store)).toEqual(await logicalDump(other.store));
          // What waits again must be taken in as what had waited from the start: send the directory anew to both.
          const directory: Sent = {
            sites: [0, 1, 2].map((id) => ({ id, name: 0 })),
            detectors: [0, 1, 2].map((id) => ({ id, site: id, label: 0 })),
            readings: [],
            events: [],
            work: [],
            replaces: false,
          };
          await importSent(context, directory);
          await importSent(other, directory);
          expect(await logicalDump(context.store)).toEqual(await logicalDump(other.store));
          context.store.close();
          other.store.close();
        },
      ),
      { numRuns: Number(process.env.RAFTERLINE_TAKE_BACK_RUNS ?? 25) },
    );
  });
});
