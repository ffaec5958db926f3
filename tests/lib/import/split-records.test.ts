import { stringify } from "csv-stringify/sync";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { RecordSplitter } from "@/lib/import/split-records";

function split(text: string, blockLines = 1_000) {
  const splitter = new RecordSplitter();
  const lines = text.split("\n");
  const records = [];
  for (let from = 0; from < lines.length; from += blockLines) {
    records.push(...splitter.push({ firstLine: from + 1, lines: lines.slice(from, from + blockLines) }));
  }
  return [...records, ...splitter.end()];
}

describe("cutting lines into records", () => {
  it("gives back any table a CSV writer wrote, however it is quoted and wherever the blocks end", () => {
    const cell = fc.oneof(fc.string(), fc.constantFrom('say "so"', "a,b", "two\nlines", "", " x ", "ä€𝄞"));
    // A record of blank cells only is a blank line to the reader, so each begins with something; CR at an end is a line end.
    const row = fc
      .tuple(fc.integer().map(String), cell, cell)
      .map((cells) => cells.map((one) => one.replaceAll("\r", "")));
    fc.assert(
      fc.property(
        fc.array(row, { minLength: 1, maxLength: 12 }),
        fc.boolean(),
        fc.integer({ min: 1, max: 5 }),
        (rows, quoted, blockLines) => {
          const records = split(stringify(rows, { quoted }), blockLines);
          expect(records.map((record) => record.cells)).toEqual(rows);
        },
      ),
      { numRuns: 300 },
    );
  });

  it("counts lines as an editor does, also after a quoted cell of several lines and over blank lines", () => {
    const records = split('h1,h2\n"one\ntwo\nthree",x\n\n  \nlast,y\r\n');
    expect(records.map(({ line, cells }) => [line, ...cells])).toEqual([
      [1, "h1", "h2"],
      [2, "one\ntwo\nthree", "x"],
      [7, "last", "y"],
    ]);
  });

  it("loses only the line of a quote that is never closed", () => {
    const rows = Array.from({ length: 300 }, (_, index) => (index === 50 ? `50,"open` : `${index},fine`));
    const records = split(rows.join("\n"), 7);
    expect(records).toHaveLength(300);
    expect(records.filter((record) => record.flaw !== null)).toMatchObject([{ line: 51, cells: ['50,"open'] }]);
    expect(records.map((record) => record.line)).toEqual(rows.map((_, index) => index + 1));
  });

  it("loses only the line of a stray quote that a later stray quote seems to close", () => {
    const records = split('1,a\n2,5" pipe\n3,b\n4,6" pipe\n5,c');
    expect(records.map(({ line, flaw }) => [line, flaw === null])).toEqual([
      [1, true],
      [2, false],
      [3, true],
      [4, false],
      [5, true],
    ]);
    expect(records[1]?.flaw).toContain("not closed or stands inside a cell");
  });

  it("takes a row whose every cell is blank for a blank line", () => {
    const records = split('1,a\n,,,\n"", ,"  "\n0,,\n"\n",\n2,b');
    expect(records.map(({ line, cells }) => [line, ...cells])).toEqual([
      [1, "1", "a"],
      [4, "0", "", ""],
      [7, "2", "b"],
    ]);
  });

  it("refuses a row of more than 1,000 cells without holding what follows it", () => {
    const records = split(`1,a\n2${",".repeat(1_000)}\n3${",".repeat(999)}`);
    expect(records.map(({ line, cells, flaw }) => [line, cells.length, flaw === null])).toEqual([
      [1, 2, true],
      [2, 1, false],
      [3, 1_000, true],
    ]);
  });

  it("cuts at the separator it was given", () => {
    const splitter = new RecordSplitter({ separator: ";" });
    const records = [...splitter.push({ firstLine: 1, lines: ['1,5;"a;b";x', "2,5;c;y"] }), ...splitter.end()];
    expect(records.map((record) => record.cells)).toEqual([
      ["1,5", "a;b", "x"],
      ["2,5", "c", "y"],
    ]);
  });

  it("accounts for every line of any text, and never throws", () => {
    const line = fc.string({ unit: fc.constantFrom('"', ",", "a", " ", "\r"), maxLength: 8 });
    fc.assert(
      fc.property(fc.array(line, { maxLength: 20 }), fc.integer({ min: 1, max: 6 }), (lines, blockLines) => {
        const records = split(lines.join("\n"), blockLines);
        const spans = records.map((record, index) => [record.line, (records[index + 1]?.line ?? lines.length + 1) - 1]);
        for (const [number, text] of lines.entries()) {
          // Blank cells, quoted or not, make no row.
          if (/^[\s,"]*$/.test(text)) continue;
          expect(spans.some(([from = 0, to = 0]) => from <= number + 1 && number + 1 <= to)).toBe(true);
        }
      }),
      { numRuns: 500 },
    );
  });
});
