import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { crossCheck, momentFor } from "@/lib/import/cross-check";
import { layoutOf } from "@/lib/import/header";
import { rowReader } from "@/lib/import/read-row";
import { RecordSplitter } from "@/lib/import/split-records";
import { startOfDay } from "@/lib/kernel/time";
import type { ReadingRows } from "@/lib/records/reading-rows";
import { LiveDirectory } from "@/lib/services/import/live-directory";
import { takePlainReadings } from "@/lib/services/import/plain-readings";

const NOW = Date.UTC(2026, 6, 1);
const folder = mkdtempSync(join(tmpdir(), "rafterline-plain-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Detectors in zones that change their clock, one that never does, and one of half an hour. */
const known = [
  ["D1", "Europe/Helsinki", "2024-01-01"],
  ["D2", "UTC", "2024-01-01"],
  ["D-3/x", "Australia/Lord_Howe", "2025-01-01"],
  ["d1", "America/St_Johns", "2025-06-01"],
  ["Ä4", "Asia/Kathmandu", "2020-01-01"],
] as const;

const directory = new LiveDirectory();
directory.detectors = new Map(
  known.map(([detectorId, timeZone, installedOn], index) => [
    detectorId,
    { key: index + 1, detectorId, timeZone, installedOn, installedAt: startOfDay(installedOn, timeZone) },
  ]),
);
const keyOf = new Map(known.map(([id], index) => [id as string, index + 1]));

/** A row as it comes out: taken with its values, or refused with its reason. */
type Row = { line: number; taken: readonly (number | null)[] | null; cells: readonly string[] | null };

/** What the ordinary way makes of each record of a text. */
function ordinary(text: string, header: readonly string[], from = 2): { rows: Row[]; reasons: string[] } {
  const read = rowReader(layoutOf("readings", header), (id) => momentFor(id, { directory, fold: "refuse" }));
  const splitter = new RecordSplitter();
  const lines = text.split("\n");
  if (lines.at(-1) === "") lines.pop();
  const records = [...splitter.push({ firstLine: 1, lines }), ...splitter.end()].slice(1);
  const reasons: string[] = [];
  const rows = records.flatMap((record): Row[] => {
    if (record.line < from) return [];
    const outcome = record.flaw === null ? read(record.cells) : null;
    const good = outcome?.ok && outcome.value.kind === "readings" ? outcome.value : null;
    if (!good || crossCheck(good, { directory, now: NOW }) !== null) {
      reasons.push(String(record.line));
      return [{ line: record.line, taken: null, cells: record.cells }];
    }
    const { detectorId, readAt, signalPct, compensationPct, temperatureC } = good.record;
    const taken = [keyOf.get(detectorId) ?? 0, readAt, signalPct, compensationPct, temperatureC];
    return [{ line: record.line, taken, cells: null }];
  });
  return { rows, reasons };
}

/** What the way over the bytes makes of them, and the ordinary way of the rest. */
async function byBytes(text: string, header: readonly string[]): Promise<{ rows: Row[]; plain: number; rest: number }> {
  const path = join(folder, "readings.csv");
  writeFileSync(path, text);
  const read = rowReader(layoutOf("readings", header), (id) => momentFor(id, { directory, fold: "refuse" }));
  const rows: Row[] = [];
  let plain = 0;
  const orNull = (value = Number.NaN) => (Number.isNaN(value) ? null : value);
  const intake = {
    takeRows(taken: ReadingRows) {
      plain += taken.length;
      for (let index = 0; index < taken.length; index += 1) {
        const values = [taken.signalPct, taken.compensationPct, taken.temperatureC].map((one) => orNull(one[index]));
        const line = taken.line[index] ?? 0;
        rows.push({ line, taken: [taken.detectorKey[index] ?? 0, taken.readAt[index] ?? 0, ...values], cells: null });
      }
    },
    take(record: { line: number; cells: readonly string[] }) {
      const outcome = read(record.cells);
      const good = outcome.ok && outcome.value.kind === "readings" ? outcome.value : null;
      if (!good || crossCheck(good, { directory, now: NOW }) !== null) {
        rows.push({ line: record.line, taken: null, cells: record.cells });
        return;
      }
      const { detectorId, readAt, signalPct, compensationPct, temperatureC } = good.record;
      const taken = [keyOf.get(detectorId) ?? 0, readAt, signalPct, compensationPct, temperatureC];
      rows.push({ line: record.line, taken, cells: null });
    },
  };
  const file = { path, headerLine: 1, layout: layoutOf("readings", header), directory, now: NOW };
  const rest = await takePlainReadings(file, { intake, endBlock: async () => {} });
  return { rows: [...rows, ...ordinary(text, header, rest).rows], plain, rest };
}

const two = (value: number) => String(value).padStart(2, "0");
const id = fc.oneof(
  { weight: 8, arbitrary: fc.constantFrom("D1", "D2", "D-3/x", "d1") },
  fc.constantFrom("Ä4", "D9", "D", "D11", " D1", "D1 ", "", '"D1"', "D\u00001", "x".repeat(101)),
);
const date = fc.oneof(
  fc
    .tuple(fc.integer({ min: 2024, max: 2026 }), fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 31 }))
    .map(([year, month, day]) => `${year}-${two(month)}-${two(day)}`),
  // Days on which clocks change, days that do not exist, and edges of the service.
  fc.constantFrom("2025-03-30", "2025-10-26", "2025-04-06", "2025-10-05", "2025-03-09", "2025-11-02", "2025-03-29"),
  fc.constantFrom("2025-02-29", "2024-02-29", "2023-12-31", "2024-01-01", "2026-07-01", "1969-12-31", "0000-00-00"),
);
const clock = fc.oneof(
  fc
    .tuple(fc.integer({ min: 0, max: 24 }), fc.integer({ min: 0, max: 60 }), fc.integer({ min: 0, max: 60 }))
    .map(([hour, minute, second]) => `${two(hour)}:${two(minute)}:${two(second)}`),
  fc.constantFrom(
    "03:30:00",
    "01:59:59",
    "12:00",
    "00:00:00.1",
    "00:00:00.12",
    "00:00:00.123",
    "00:00:00.1234",
    "0:00",
  ),
);
const offset = fc.constantFrom("", "", "Z", "Z", "+02:00", "-03:30", "+14:00", "+14:01", "-00:30", "+0200", "z", "+2");
const moment = fc.oneof(
  { weight: 9, arbitrary: fc.tuple(date, fc.constantFrom("T", " "), clock, offset).map((parts) => parts.join("")) },
  fc.string({ maxLength: 12 }),
);
const number = fc.oneof(
  { weight: 4, arbitrary: fc.integer({ min: -7_000, max: 42_000 }).map((whole) => (whole / 100).toFixed(2)) },
  { weight: 2, arbitrary: fc.double({ min: 0, max: 100, noNaN: true }).map((value) => value.toFixed(7)) },
  fc.double({ noNaN: true }).map(String),
  fc.constantFrom(
    "",
    "",
    " ",
    "-0",
    "+1",
    "1e2",
    ".5",
    "5.",
    "-",
    "400",
    "400.000000001",
    "007",
    "1,5",
    "NaN",
    "0000001",
  ),
  fc.constantFrom("12.123456789", "12.1234567891", "399.999999999999", "100", "100.0", "-60", "-60.01", "97.30 "),
);
const plainRow = fc
  .tuple(
    fc.constantFrom("D1", "D2", "D-3/x", "d1"),
    fc.integer({ min: 0, max: 400 }),
    fc.integer({ min: 8_000, max: 10_000 }),
  )
  .map(([detector, hours, signal]) => {
    const at = new Date(Date.UTC(2025, 6, 1) + hours * 3_600_000).toISOString().slice(0, 19);
    return [detector, `${at}Z`, (signal / 100).toFixed(2), "1.5", "20"];
  });
const oddRow = fc.tuple(id, moment, number, number, number).map((cells) => [...cells]);
const ragged = fc.array(fc.oneof(id, number, moment), { maxLength: 7 });
/** A plain line with a few of its characters changed, which comes nearest to what the readers may disagree on. */
const bent = fc
  .tuple(plainRow, fc.nat(), fc.constantFrom(...'\r\t ,.-+:ZT"0Äx9'), fc.boolean())
  .map(([cells, place, character, replaced]) => {
    const text = cells.join(",");
    const at = place % text.length;
    return text.slice(0, at) + character + text.slice(replaced ? at + 1 : at);
  });
const line = fc.oneof(
  { weight: 6, arbitrary: plainRow.map((cells) => cells.join(",")) },
  { weight: 3, arbitrary: oddRow.map((cells) => cells.join(",")) },
  { weight: 4, arbitrary: bent },
  ragged.map((cells) => cells.join(",")),
  fc.constantFrom("", " ", "\r", ",,,,", '"', '"D1","2025-07-01T00:00:00Z",1,2,3', 'D1,"a', 'b",1,2'),
);
const headers = fc.constantFrom(
  ["detector_id", "read_at", "signal_pct", "compensation_pct", "temperature_c"],
  ["detector_id", "read_at", "signal_pct"],
  ["note", "detector_id", "temperature_c", "read_at", "signal_pct"],
  ["detector_id", "read_at", "signal_pct", "temperature_c", "remark"],
  ["read_at", "detector_id", "signal_pct"],
);

describe("readings read from the bytes of their lines", () => {
  it("become exactly what the ordinary way makes of them, line by line and in order", async () => {
    const file = fc.tuple(headers, fc.array(line, { maxLength: 40 }), fc.constantFrom("\n", "\r\n"), fc.boolean());
    await fc.assert(
      fc.asyncProperty(file, async ([header, lines, lineEnd, ended]) => {
        const text = [header.join(","), ...lines].join(lineEnd) + (ended ? lineEnd : "");
        const { rows } = await byBytes(text, header);
        expect(rows).toEqual(ordinary(text, header).rows);
      }),
      { numRuns: 400 },
    );
  });

  it("are read so when they are plain: no line of an ordinary file is left to the slower way", async () => {
    const header = ["detector_id", "read_at", "signal_pct", "compensation_pct", "temperature_c"];
    const rows = [
      "D1,2025-07-01T00:00:00Z,97.35,1.5,-3.5",
      "D-3/x,2025-07-01 10:30:00,97,,",
      "D2,2025-07-01T00:00,9,0,0",
    ];
    const text = `${header.join(",")}\n${rows.join("\n")}\n`;
    expect(await byBytes(text, header)).toMatchObject({ plain: 3, rest: Infinity });
    expect((await byBytes(`${header.join(",")}\r\n${rows.join("\r\n")}\r\n`, header)).plain).toBe(3);
  });

  it("keep their line numbers over blocks of bytes, over an odd line and up to a quote", async () => {
    const header = ["detector_id", "read_at", "signal_pct"];
    const lines = Array.from({ length: 40_000 }, (_, index) => {
      const at = new Date(Date.UTC(2024, 2, 1) + index * 60_000).toISOString();
      if (index === 20_000) return `D1,${at},many`;
      return index === 39_000 ? `D1,${at},"5"` : `D${1 + (index % 2)},${at},${(index % 9_000) / 100}`;
    });
    const text = `${header.join(",")}\n${lines.join("\n")}`;
    const { rows, plain, rest } = await byBytes(text, header);
    expect({ plain, rest }).toEqual({ plain: 38_999, rest: 39_002 });
    expect(rows).toEqual(ordinary(text, header).rows);
  });
});
