type Sums = { observed: number; mean: number; squares: number };

const PRIOR_EVENTS = 4;
const EDGES = [-0.3, 0.5, 1.2, 2] as const;
const RISING = 0.5;

/**
 * Classes of equal recent record with their events observed and expected: what a smooth model of the fleet leaves over.
 * Each class's ratio is held to 1 by four events, and that of one cause in it to the class's by four more.
 */
export class CalibrationClasses {
  private readonly ofAll = new Map<number, Sums>();
  private readonly ofCause = new Map<number, Sums>();
  private readonly known = new Map<number, Calibration>();

  /** Counts a cell of a cause (by its place) and class; `weight` where it stands for several. */
  add(cell: { place: number; recordClass: number }, of: { count: number; mean: number; weight: number }): void {
    this.known.clear();
    addTo(this.ofAll, cell.recordClass, of);
    addTo(this.ofCause, keyOf(cell), of);
  }

  /** Observed over expected of a cause in a class, variance of its counts over their mean, and doubt about the ratio. */
  of(cell: { place: number; recordClass: number }): Calibration {
    const key = keyOf(cell);
    const known = this.known.get(key);
    if (known !== undefined) return known;
    const all = this.ofAll.get(cell.recordClass) ?? nothing;
    const own = this.ofCause.get(key) ?? nothing;
    const dispersion = Math.max(1, all.mean > PRIOR_EVENTS ? all.squares / all.mean : 1);
    const ofClass = (all.observed + PRIOR_EVENTS) / (all.mean + PRIOR_EVENTS);
    const calibration = {
      ratio: (own.observed + PRIOR_EVENTS * ofClass) / (own.mean + PRIOR_EVENTS),
      dispersion,
      relativeVariance: dispersion / (own.observed + PRIOR_EVENTS),
    };
    this.known.set(key, calibration);
    return calibration;
  }
}

type Calibration = { readonly ratio: number; readonly dispersion: number; readonly relativeVariance: number };

const CLASSES = 2 * (EDGES.length + 1);
const nothing: Sums = { observed: 0, mean: 0, squares: 0 };

/**
 * The class of a row of features: how its recent rate stands to the fleet's, and whether it rose over the whole record.
 * The first column is the log of the rate of the last months over the fleet's, the third that of the whole record.
 */
export function classOf(row: ArrayLike<number>, from = 0): number {
  const recent = row[from] ?? 0;
  let level = 0;
  for (const edge of EDGES) level += recent > edge ? 1 : 0;
  return 2 * level + (recent - (row[from + 2] ?? 0) > RISING ? 1 : 0);
}

function keyOf({ place, recordClass }: { place: number; recordClass: number }): number {
  return place * CLASSES + recordClass;
}

function addTo(
  map: Map<number, Sums>,
  key: number,
  { count, mean, weight }: { count: number; mean: number; weight: number },
): void {
  const sums = map.get(key) ?? { observed: 0, mean: 0, squares: 0 };
  sums.observed += weight * count;
  sums.mean += weight * mean;
  sums.squares += weight * (count - mean) ** 2;
  map.set(key, sums);
}
