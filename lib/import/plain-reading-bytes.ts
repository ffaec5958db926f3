import type { Layout } from "@/lib/import/header";
import { type PlainDetector, PlainIds } from "@/lib/import/plain-ids";
import { PlainMoments } from "@/lib/import/plain-moment";
import type { ReadingRows } from "@/lib/records/reading-rows";

const COMMA = 0x2c;
const QUOTE = 0x22;
const MINUS = 0x2d;
const DOT = 0x2e;
const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;
const LEFT = -1;

/** Reads lines of a readings file from their bytes; see {@link plainBytesReader}. */
export type PlainBytesReader = {
  /**
   * Appends to `rows` the lines from `at`, which has number `line`, until `end`, the place behind a line feed. It stops
   * at a line it is not sure of and when `rows` are full, and gives the place it stopped at.
   */
  read(bytes: Uint8Array, { at, end, line }: { at: number; end: number; line: number }, rows: ReadingRows): number;
};

/**
 * The reader of the plain lines of a readings file; null for a layout whose times stand before their detectors.
 *
 * It gives what splitting, schema and cross-check give, or stops: at quotes, blanks and letters beyond ASCII, unknown
 * detectors, days on which the clock changes, numbers with many digits, and values outside their range. Such a line is
 * for the ordinary way, which alone knows the reasons. Source: tests prove both ways alike, line by line.
 */
export function plainBytesReader(
  { header, places }: Layout,
  find: (detectorId: string) => PlainDetector | null,
): PlainBytesReader | null {
  const placeOf = (column: string) => places.get(column) ?? -1;
  if (placeOf("detector_id") === -1 || placeOf("read_at") < placeOf("detector_id")) return null;
  const roles = header.map((_, place) => columns.findIndex((column) => placeOf(column) === place));
  const ids = new PlainIds(find);
  const moments = new PlainMoments();
  const last = roles.length - 1;
  const withoutCompensation = placeOf("compensation_pct") === -1;
  const withoutTemperature = placeOf("temperature_c") === -1;

  const readLine = (bytes: Uint8Array, from: number, rows: ReadingRows): number => {
    const index = rows.length;
    let at = from;
    let detector: PlainDetector | undefined;
    for (let place = 0; place <= last; place += 1) {
      const role = roles[place];
      if (role === 0) {
        detector = ids.detectors[ids.slotAt(bytes, at)];
        at = detector ? ids.end : LEFT;
      } else if (role === 1) at = moments.read(bytes, at, detector?.timeZone ?? "");
      else if (role === 2) at = numberInto(rows.signalPct, index, { bytes, at, min: 0, max: 400 });
      else if (role === 3) at = optionalInto(rows.compensationPct, index, { bytes, at, min: 0, max: 100 });
      else if (role === 4) at = optionalInto(rows.temperatureC, index, { bytes, at, min: -60, max: 100 });
      else at = behindCell(bytes, at);
      if (at === LEFT || (place < last && bytes[at] !== COMMA)) return LEFT;
      if (place < last) at += 1;
    }
    if (bytes[at] === CARRIAGE_RETURN) at += 1;
    if (bytes[at] !== LINE_FEED || !detector) return LEFT;
    if (moments.at < detector.fromAt || moments.at > detector.untilAt) return LEFT;
    rows.detectorKey[index] = detector.key;
    rows.readAt[index] = moments.at;
    if (withoutCompensation) rows.compensationPct[index] = Number.NaN;
    if (withoutTemperature) rows.temperatureC[index] = Number.NaN;
    return at + 1;
  };

  return {
    read(bytes, { at, end, line }, rows) {
      let next = at;
      let number = line;
      while (next < end && rows.length < rows.readAt.length) {
        const behind = readLine(bytes, next, rows);
        if (behind === LEFT) return next;
        rows.line[rows.length] = number;
        rows.length += 1;
        number += 1;
        next = behind;
      }
      return next;
    },
  };
}

const columns = ["detector_id", "read_at", "signal_pct", "compensation_pct", "temperature_c"];
const powers = [1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];

type NumberCell = { readonly bytes: Uint8Array; readonly at: number; readonly min: number; readonly max: number };

/**
 * Reads a number of at most 6 digits before and 9 behind its point into a column; the place behind it, or -1.
 *
 * Digits and power of ten are exact, so their quotient is the float nearest to the number, as `Number` gives it.
 */
function numberInto(column: Float64Array, index: number, { bytes, at, min, max }: NumberCell): number {
  const negative = bytes[at] === MINUS;
  const first = negative ? at + 1 : at;
  let next = first;
  let digits = 0;
  let byte = bytes[next] ?? 0;
  for (; byte >= 48 && byte <= 57; byte = bytes[next] ?? 0) {
    digits = digits * 10 + byte - 48;
    next += 1;
  }
  if (next === first || next - first > 6) return LEFT;
  let decimals = 0;
  if (byte === DOT) {
    const point = next;
    next += 1;
    for (byte = bytes[next] ?? 0; byte >= 48 && byte <= 57; byte = bytes[next] ?? 0) {
      digits = digits * 10 + byte - 48;
      next += 1;
    }
    decimals = next - point - 1;
    if (decimals === 0 || decimals > 9) return LEFT;
  }
  const value = digits / (powers[decimals] ?? 1);
  column[index] = negative ? -value : value;
  const found = column[index] ?? Number.NaN;
  return found >= min && found <= max ? next : LEFT;
}

function optionalInto(column: Float64Array, index: number, cell: NumberCell): number {
  const byte = cell.bytes[cell.at];
  if (byte !== COMMA && byte !== LINE_FEED && byte !== CARRIAGE_RETURN) return numberInto(column, index, cell);
  column[index] = Number.NaN;
  return cell.at;
}

/** The place behind a cell nobody reads; -1 when it holds a quote, a control character or a letter beyond ASCII. */
function behindCell(bytes: Uint8Array, at: number): number {
  let next = at;
  for (let byte = bytes[next] ?? 0; byte !== COMMA && byte !== LINE_FEED; byte = bytes[next] ?? 0) {
    if (byte === CARRIAGE_RETURN) return bytes[next + 1] === LINE_FEED ? next : LEFT;
    if (byte < 0x20 || byte > 0x7e || byte === QUOTE) return LEFT;
    next += 1;
  }
  return next;
}
