import type { z } from "zod";
import type { Layout } from "@/lib/import/header";
import type { readingRow } from "@/lib/records/reading";

/** A row of readings.csv whose cells are read. */
export type ReadingRow = z.infer<typeof readingRow>;

const plainId = /^[!-~]{1,100}$/;
const plainMoment = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d)?$/;
const plainNumber = /^-?\d{1,3}(\.\d{1,12})?$/;

/**
 * Reads the plain rows of a readings file without the schema, which costs more than all the rest of a row.
 *
 * It gives exactly what the schema gives, or null for any row it is not sure of: blanks around a cell, other ways of
 * writing a number, a value outside its range. Such a row is the schema's, which alone knows the reasons.
 */
export function plainReadingReader({ header, places }: Layout): (cells: readonly string[]) => ReadingRow | null {
  const place = (column: keyof ReadingRow) => places.get(column) ?? -1;
  const [id, moment, signal] = [place("detector_id"), place("read_at"), place("signal_pct")];
  const [compensation, temperature] = [place("compensation_pct"), place("temperature_c")];
  return (cells) => {
    if (cells.length !== header.length) return null;
    const detectorId = cells[id] ?? "";
    const readAt = cells[moment] ?? "";
    if (!plainId.test(detectorId) || !plainMoment.test(readAt)) return null;
    const signalPct = numberIn(cells[signal], 0, 400);
    const compensationPct = optionalIn(cells[compensation], 0, 100);
    const temperatureC = optionalIn(cells[temperature], -60, 100);
    if (signalPct === undefined || compensationPct === undefined || temperatureC === undefined) return null;
    return {
      detector_id: detectorId,
      read_at: readAt,
      signal_pct: signalPct,
      compensation_pct: compensationPct,
      temperature_c: temperatureC,
    };
  };
}

function optionalIn(cell: string | undefined, min: number, max: number): number | null | undefined {
  return cell === undefined || cell === "" ? null : numberIn(cell, min, max);
}

function numberIn(cell: string | undefined, min: number, max: number): number | undefined {
  if (cell === undefined || !plainNumber.test(cell)) return undefined;
  const value = Number(cell);
  return value >= min && value <= max ? value : undefined;
}
