import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { layoutOf } from "@/lib/import/header";
import { plainReadingReader } from "@/lib/import/plain-reading";
import { columnsOf } from "@/lib/records/files";
import { readingRow } from "@/lib/records/reading";

const header = columnsOf("readings");
const plain = plainReadingReader(layoutOf("readings", header));
const bySchema = (cells: readonly string[]) => {
  return readingRow.safeParse(Object.fromEntries(header.map((column, index) => [column, cells[index]])));
};

const id = fc.oneof(
  fc.constantFrom("D1", "D 1", " D1", "D1 ", "", "Ä1", "x".repeat(101), "D\u0000"),
  fc.string({ maxLength: 12 }),
);
const moment = fc.oneof(
  fc.constantFrom("2025-01-01T00:00:00Z", "2025-01-01 00:00:00", "2025-01-01T00:00Z", " 2025-01-01T00:00:00Z", ""),
  fc.string({ maxLength: 20 }),
);
const number = fc.oneof(
  fc.integer({ min: -70_000, max: 50_000 }).map((whole) => String(whole / 100)),
  fc.constantFrom(
    "",
    " ",
    "-0",
    "+1",
    "1e2",
    ".5",
    "5.",
    "400",
    "400.000000000001",
    "100",
    "-60",
    "100.5",
    "007",
    "1,5",
    "NaN",
  ),
  fc.double().map(String),
);

describe("the plain reader of readings", () => {
  it("gives exactly what the schema gives, or leaves the row to it", () => {
    fc.assert(
      fc.property(fc.tuple(id, moment, number, number, number), (cells) => {
        const fast = plain(cells);
        if (fast !== null) expect({ success: true, data: fast }).toEqual(bySchema(cells));
      }),
      { numRuns: 5_000 },
    );
  });

  it("takes the rows that files really hold", () => {
    for (const cells of [
      ["D-1/7", "2025-01-01T00:00:00Z", "97.35", "12", "-3.5"],
      ["D-1/7", "2025-01-01T00:00:00", "400", "", ""],
    ]) {
      expect(plain(cells)).toEqual(bySchema(cells).data);
    }
    expect(plain(["D1", "2025-01-01T00:00:00Z", "401", "", ""])).toBeNull();
    expect(plain(["D1", "2025-01-01T00:00:00Z", "40"])).toBeNull();
  });
});
