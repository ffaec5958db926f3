import { type ReadingTrace, wrapped } from "@/lib/analyse/quality/reading-trace";
import { medianInPlace } from "@/lib/statistics/order-statistics";

/** Where the readings of a site stand in their step, by day (UTC, days since 1970), minutes, followed from day to day. */
export type SitePhase = { readonly day: readonly number[]; readonly minutes: readonly number[] };

const BASE_DAYS = 60;

/**
 * The phase of a whole site: the median over its detectors, each taken from its own usual place, so that detectors that
 * are read one after another, or that came later, move nothing.
 *
 * @param traces - of one step, each with phases; the first of those with most days is what the others are set against
 * @param offsetMs - what is added to the phase of a day: 0 for UTC, the zone's offset for wall time
 */
export function sitePhase(
  traces: readonly ReadingTrace[],
  { stepMs, offsetMs }: { stepMs: number; offsetMs: (day: number) => number },
): SitePhase {
  const main = traces.reduce<ReadingTrace | null>(
    (best, one) => (best && known(best) >= known(one) ? best : one),
    null,
  );
  if (main === null) return { day: [], minutes: [] };
  const mainPhase = new Map<number, number>();
  for (const [row, day] of main.day.entries()) {
    const phase = main.phaseMs[row] ?? Number.NaN;
    if (!Number.isNaN(phase)) mainPhase.set(day, phase);
  }
  const byDay = new Map<number, number[]>();
  for (const trace of traces) {
    const base = trace === main ? 0 : baseOf(trace, { mainPhase, stepMs });
    if (base === null) continue;
    for (const [row, day] of trace.day.entries()) {
      const phase = trace.phaseMs[row] ?? Number.NaN;
      if (Number.isNaN(phase)) continue;
      const list = byDay.get(day);
      if (list) list.push(phase - base);
      else byDay.set(day, [phase - base]);
    }
  }
  const day = [...byDay.keys()].sort((a, b) => a - b);
  let reference = (byDay.get(day[0] ?? 0)?.[0] ?? 0) + offsetMs(day[0] ?? 0);
  const minutes = day.map((one) => {
    const offset = offsetMs(one);
    const away = Float64Array.from(byDay.get(one) ?? [], (phase) => wrapped(phase + offset - reference, stepMs));
    reference += medianInPlace(away) ?? 0;
    return reference / 60_000;
  });
  return { day, minutes };
}

function known({ phaseMs }: ReadingTrace): number {
  let count = 0;
  for (const phase of phaseMs) if (!Number.isNaN(phase)) count += 1;
  return count;
}

function baseOf(
  trace: ReadingTrace,
  { mainPhase, stepMs }: { mainPhase: ReadonlyMap<number, number>; stepMs: number },
): number | null {
  const apart: number[] = [];
  for (const [row, day] of trace.day.entries()) {
    const phase = trace.phaseMs[row] ?? Number.NaN;
    const other = mainPhase.get(day);
    if (other === undefined || Number.isNaN(phase)) continue;
    const first = apart[0];
    apart.push(first === undefined ? phase - other : first + wrapped(phase - other - first, stepMs));
    if (apart.length >= BASE_DAYS) break;
  }
  return medianInPlace(Float64Array.from(apart));
}
