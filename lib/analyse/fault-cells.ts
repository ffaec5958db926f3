import { intensityAt, type SeasonShape, seasonAngle } from "@/lib/analyse/fleet-season";
import type { DetectorHistory } from "@/lib/analyse/history";
import { DAY_MS } from "@/lib/kernel/units";
import type { CellUnit } from "@/lib/statistics/common-profile";
import type { Integral } from "@/lib/statistics/operational-time";

/** Days of a cell: four make the recent year, two its later half. */
export const CELL_DAYS = 91.25;
const MOST_CELLS = 80;

/**
 * Cells of common time, counted back from the as-of moment; the first also takes what lies before it. `angles` are those
 * of the northern year at noon of each day from `firstDay` on.
 */
export type FaultCells = {
  readonly asOf: number;
  readonly count: number;
  readonly firstDay: number;
  readonly angles: Float64Array;
};

/** Cells from a moment to the as-of moment: at least 1, at most 80. */
export function faultCells({ from, asOf }: { from: number; asOf: number }): FaultCells {
  const firstDay = Math.floor(Math.min(from, asOf) / DAY_MS);
  const days = Math.max(1, Math.ceil(asOf / DAY_MS) - firstDay);
  return {
    asOf,
    count: Math.max(1, Math.min(MOST_CELLS, Math.ceil((asOf - from) / (CELL_DAYS * DAY_MS)))),
    firstDay,
    angles: Float64Array.from({ length: days }, (_, day) => seasonAngle((firstDay + day + 0.5) * DAY_MS, false)),
  };
}

/** Number of the cell that a moment lies in. */
export function cellAt({ asOf, count }: Pick<FaultCells, "asOf" | "count">, at: number): number {
  return Math.max(0, count - 1 - Math.max(0, Math.floor((asOf - at) / (CELL_DAYS * DAY_MS))));
}

/** Fault clusters of a detector and its time at risk, weighed by the season, in cells. */
export function faultUnit(
  { exposure, faultClusters }: DetectorHistory,
  { cells, integral }: { cells: FaultCells; integral: Integral },
): CellUnit {
  const counts = new Array<number>(cells.count).fill(0);
  const exposures = new Array<number>(cells.count).fill(0);
  for (const { beganAt } of faultClusters) {
    const cell = cellAt(cells, beganAt);
    counts[cell] = (counts[cell] ?? 0) + 1;
  }
  for (const { startAt, endAt } of exposure.faultRisk) {
    let from = startAt;
    while (from < endAt) {
      const border = cells.asOf - Math.floor((cells.asOf - from) / (CELL_DAYS * DAY_MS) - 1e-9) * CELL_DAYS * DAY_MS;
      const until = Math.min(endAt, Math.max(border, from + 1));
      const cell = cellAt(cells, (from + until) / 2);
      exposures[cell] = (exposures[cell] ?? 0) + integral(from, until);
      from = until;
    }
  }
  return { counts, exposures };
}

/**
 * Integral of a season and of levels by cell, in milliseconds of even intensity; a day is one step.
 * Null where both are even: then the plain length serves.
 */
export function intensityIntegral(
  cells: FaultCells,
  {
    season,
    south,
    levels,
  }: {
    season: SeasonShape | null;
    south: boolean;
    levels: readonly number[];
  },
): Integral | null {
  const even = levels.every((level) => level === 1);
  if (season === null && even) return null;
  const { angles, firstDay } = cells;
  const turn = south ? Math.PI : 0;
  const until = new Float64Array(angles.length + 1);
  for (const [day, angle] of angles.entries()) {
    const ofYear = season === null ? 1 : intensityAt(season, angle + turn);
    const level = even ? 1 : (levels[cellAt(cells, (firstDay + day + 0.5) * DAY_MS)] ?? 1);
    until[day + 1] = (until[day] ?? 0) + ofYear * level;
  }
  const upTo = (at: number) => {
    const place = Math.max(0, Math.min(angles.length, at / DAY_MS - firstDay));
    const whole = Math.floor(place);
    const passed = until[whole] ?? 0;
    return passed + (place - whole) * ((until[whole + 1] ?? passed) - passed);
  };
  return (startAt, endAt) => (upTo(endAt) - upTo(startAt)) * DAY_MS;
}
