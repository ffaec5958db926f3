type Sums = { observed: number; mean: number; squares: number };

const PRIOR_EVENTS = 4;
const EDGES = [-0.3, 0.5, 1.2, 2] as const;
const RISING = 0.5;

/**
 * Classes of equal recent record with their events observed and expected: what a smooth model of the fleet leaves over.
 * Each class's ratio is held to 1 by four events.
 */
export class CalibrationClasses {
  private readonly classes = new Map<string, Sums>();

  /** Counts a cell by its row of features; `weight` where it stands for several. */
  add(row: ArrayLike<number>, { count, mean, weight }: { count: number; mean: number; weight: number }): void {
    const key = classOf(row);
    const sums = this.classes.get(key) ?? { observed: 0, mean: 0, squares: 0 };
    sums.observed += weight * count;
    sums.mean += weight * mean;
    sums.squares += weight * (count - mean) ** 2;
    this.classes.set(key, sums);
  }

  /** Observed over expected of a row's class, variance of its counts over their mean, and doubt about the ratio. */
  of(row: ArrayLike<number>): { ratio: number; dispersion: number; relativeVariance: number } {
    const { observed, mean, squares } = this.classes.get(classOf(row)) ?? { observed: 0, mean: 0, squares: 0 };
    const dispersion = Math.max(1, mean > PRIOR_EVENTS ? squares / mean : 1);
    return {
      ratio: (observed + PRIOR_EVENTS) / (mean + PRIOR_EVENTS),
      dispersion,
      relativeVariance: dispersion / (observed + PRIOR_EVENTS),
    };
  }
}

/**
 * The class of a row of features: how its recent rate stands to the fleet's, and whether it rose over the whole record.
 * The first column is the log of the rate of the last months over the fleet's, the third that of the whole record.
 */
export function classOf(row: ArrayLike<number>): string {
  const recent = row[0] ?? 0;
  const level = EDGES.filter((edge) => recent > edge).length;
  return `${level} ${recent - (row[2] ?? 0) > RISING ? "rising" : "level"}`;
}
