import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { z } from "zod";
import { openContext } from "@/lib/services/context";
import { importFiles } from "@/lib/services/import-files";
import { loadFleet } from "@/lib/services/load-fleet";
import { rankFleet } from "@/lib/services/rank-fleet";
import { defaultSettings } from "@/lib/settings/settings";
import { monthSpan, readLiftMonths, writeCanonicalFiles } from "@/tests/opendata/convert";
import type { RankedQuarter } from "@/tests/opendata/proof-table";
import { quarterAfter } from "@/tests/opendata/quarters";

/** As-of months: every quarter that has twelve months of data before it and three after it. */
export const asOfMonths = [
  "2021-12",
  ...["2022-03", "2022-06", "2022-09", "2022-12"],
  ...["2023-03", "2023-06", "2023-09", "2023-12"],
  ...["2024-03", "2024-06", "2024-09", "2024-12"],
] as const;

/** Moment of the import: after the last published month, so that nothing lies in its future. */
const now = monthSpan("2025-06").endAt;

/** The quarters with their rankings, and how the import went. */
export type RankedQuarters = {
  readonly files: readonly { readonly name: string; readonly rows: number; readonly accepted: number }[];
  readonly quarters: readonly RankedQuarter[];
  /** Fault episodes the analysis sees over all months, of lifts and of stations. */
  readonly episodes: { readonly own: number; readonly commonCause: number };
};

/** Imports the converted files into a store of its own and ranks as of the end of each month of {@link asOfMonths}. */
export async function rankQuarters(): Promise<RankedQuarters> {
  const folder = mkdtempSync(join(tmpdir(), "rafterline-lifts-"));
  try {
    const context = openContext(join(folder, "lifts.sqlite"), { now });
    const { files } = await importFiles(context, { files: writeCanonicalFiles(folder) });
    const months = readLiftMonths();
    const quarters: RankedQuarter[] = [];
    for (const month of asOfMonths) {
      const quarter = quarterAfter(month, months);
      const horizonDays = daysOfNextQuarter(month);
      const text = await rankFleet(context, { asOf: quarter.asOfOn, horizonDays, costs: null, format: "json" });
      quarters.push({ quarter, ranking: rankingOf(text) });
    }
    const { detectors, sites } = await loadFleet(context.store, { asOf: now, settings: defaultSettings() });
    const episodes = {
      own: detectors.reduce((sum, { faults }) => sum + faults.length, 0),
      commonCause: sites.reduce((sum, { commonCause }) => sum + commonCause.length, 0),
    };
    return { files, quarters, episodes };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const estimate = z.object({ mean: z.number(), low: z.number(), high: z.number() });
const printedRanking = z.object({
  detectors: z.array(
    z.object({
      detectorId: z.string(),
      rank: z.number(),
      expected: z.object({ faults: estimate }),
      visit: z.object({ netBenefit: z.number() }),
    }),
  ),
});

function rankingOf(text: string) {
  const { detectors } = printedRanking.parse(JSON.parse(text));
  return {
    expectedFaults: new Map(detectors.map((one) => [one.detectorId, one.expected.faults])),
    netBenefit: new Map(detectors.map((one) => [one.detectorId, one.visit.netBenefit])),
  };
}

function daysOfNextQuarter(month: string): number {
  const [year = 0, number = 1] = month.split("-").map(Number);
  return Math.round((Date.UTC(year, number + 3, 1) - Date.UTC(year, number, 1)) / 86_400_000);
}
