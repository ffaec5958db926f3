/**
 * Good readings of any detectors in the order of their lines, as columns of which the first `length` places are used;
 * NaN marks an absent compensation or temperature. It is made once and filled again and again.
 */
export type ReadingRows = {
  length: number;
  /** The detector's key in the store. */
  readonly detectorKey: Uint32Array;
  readonly readAt: Float64Array;
  readonly signalPct: Float64Array;
  readonly compensationPct: Float64Array;
  readonly temperatureC: Float64Array;
  readonly line: Uint32Array;
};

/** Rows with room for `capacity` readings, none of them used. */
export function emptyRows(capacity: number): ReadingRows {
  return {
    length: 0,
    detectorKey: new Uint32Array(capacity),
    readAt: new Float64Array(capacity),
    signalPct: new Float64Array(capacity),
    compensationPct: new Float64Array(capacity),
    temperatureC: new Float64Array(capacity),
    line: new Uint32Array(capacity),
  };
}
