import type { Store } from "@/db/client";
import { eachContested, importSpansBySite } from "@/db/queries/import-spans";
import { readReadings } from "@/db/queries/readings";
import type { QualityEvidence } from "@/lib/analyse/quality/fleet-quality";
import { type ReadingTrace, traceReadings } from "@/lib/analyse/quality/reading-trace";
import { type ShiftedFile, valueShift } from "@/lib/analyse/quality/shifted-values";
import { DAY_MS } from "@/lib/kernel/units";
import type { OnSeries } from "@/lib/services/load-fleet";

const MOST_COMPARED = 6;
const LONGEST_SHIFT_MS = DAY_MS;

/** Gathers traces of readings while a fleet is loaded, and with them what the store says of imports. */
export function qualityEvidence(store: Store): {
  readonly onSeries: OnSeries;
  readonly evidence: () => Promise<QualityEvidence>;
} {
  const traces = new Map<string, ReadingTrace>();
  return {
    onSeries: ({ detectorId, series, summary }) => void traces.set(detectorId, traceReadings(series, summary)),
    evidence: async () => ({
      traces,
      imports: await importSpansBySite(store),
      shiftedFiles: await shiftedFilesBySite(store),
    }),
  };
}

/** Imports whose contested readings all stand by the same time off what is stored, by site id. */
export async function shiftedFilesBySite(store: Store): Promise<Map<string, ShiftedFile[]>> {
  const answers = new Map<string, { siteId: string; found: ShiftedFile[]; without: number }>();
  for await (const { siteId, detectorId, importId, series } of eachContested(store, { most: MOST_COMPARED })) {
    const firstAt = series.readAt[0] ?? 0;
    const lastAt = series.readAt[series.readAt.length - 1] ?? 0;
    const until = lastAt + LONGEST_SHIFT_MS;
    const stored = await readReadings(store, { detectorId, from: firstAt - LONGEST_SHIFT_MS, until });
    const shift = valueShift(series, stored);
    const key = `${importId} ${siteId}`;
    const answer = answers.get(key) ?? { siteId, found: [], without: 0 };
    answers.set(key, answer);
    if (shift) answer.found.push({ importId, ...shift, firstAt, lastAt });
    else answer.without += 1;
  }
  const bySite = new Map<string, ShiftedFile[]>();
  for (const { siteId, found, without } of answers.values()) {
    const [first] = found;
    const agree = found.length > without && found.every(({ minutes }) => minutes === first?.minutes);
    if (first === undefined || !agree) continue;
    const whole = {
      ...first,
      compared: found.reduce((sum, { compared }) => sum + compared, 0),
      firstAt: Math.min(...found.map(({ firstAt }) => firstAt)),
      lastAt: Math.max(...found.map(({ lastAt }) => lastAt)),
    };
    bySite.set(siteId, [...(bySite.get(siteId) ?? []), whole]);
  }
  return bySite;
}
