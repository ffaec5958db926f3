import type { DetectorHistory } from "@/lib/analyse/history";
import { seededChance } from "@/lib/kernel/chance";
import { signalPctOf } from "@/lib/kernel/units";
import type { Task } from "@/lib/records/vocabulary";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector, makeSeries, makeWork } from "@/tests/fixtures/records";

const FROM = "2023-07-01";
/** End of the simulated three years. */
export const AS_OF = at("2026-07-01");
/** Days of readings. */
export const DAYS = (AS_OF - at(FROM)) / 86_400_000;

/** Standard normal draws from a seed. */
export function normalOf(seed: string): () => number {
  const chance = seededChance(seed);
  return () => Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
}

/** A year of temperature with weather, the same for all beams: degrees C by day since the start. */
export const temperatureC: readonly number[] = (() => {
  const normal = normalOf("weather");
  let spell = 0;
  return Array.from({ length: DAYS + 1 }, (_, day) => {
    spell = 0.8 * spell + 1.5 * normal();
    return 14 + 9 * Math.sin((2 * Math.PI * (day - 110)) / 365.25) + spell;
  });
})();

/** What a beam is: attenuation in dB by whole day, work by day, and whether it sends temperature. */
export type Beam = {
  readonly db: (day: number) => number;
  readonly work?: readonly { readonly task: Task; readonly day: number }[];
  readonly temperature?: boolean;
  readonly compensation?: (day: number) => number;
  readonly wholePercent?: boolean;
};

/** Histories of beams called D0, D1 ... with a little noise in each reading. */
export function historiesOf(beams: readonly Beam[]): readonly DetectorHistory[] {
  const ids = beams.map((_, index) => `D${String(index).padStart(3, "0")}`);
  return makeHistory({
    asOf: AS_OF,
    records: {
      detectors: ids.map((detectorId) => makeDetector({ detectorId, installedOn: FROM })),
      work: beams.flatMap(({ work = [] }, index) =>
        work.map(({ task, day }) => ({
          ...makeWork({ detectorId: ids[index] ?? "", task }),
          doneAt: at(FROM) + day * 86_400_000 + 36_000_000,
        })),
      ),
    },
    series: new Map(
      beams.map((beam, index) => {
        const normal = normalOf(`noise ${index}`);
        const round = (pct: number) => (beam.wholePercent ? Math.round(pct) : pct);
        const series = makeSeries({
          from: FROM,
          until: "2026-07-01",
          stepHours: 12,
          signal: (day) => round(signalPctOf(beam.db(Math.floor(day)) + 0.03 * normal())),
          ...(beam.compensation ? { compensation: beam.compensation } : {}),
          ...(beam.temperature ? { temperature: (day: number) => temperatureC[Math.floor(day)] ?? 0 } : {}),
        });
        return [ids[index] ?? "", series];
      }),
    ),
  }).detectors;
}
