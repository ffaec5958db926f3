import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { SharedTexts } from "@/lib/import/table/shared-texts";
import { SheetReader } from "@/lib/import/table/sheet-reader";

const escaped = (text: string) => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;");

function read(rows: string, piece = 50) {
  const reader = new SheetReader({
    textAt: (index) => ["zero", "one"][index] ?? null,
    styles: ["number", "moment"],
    from1904: false,
  });
  const xml = `<?xml version="1.0"?><worksheet><sheetData>${rows}</sheetData><other><c><v>9</v></c></other></worksheet>`;
  const records = [];
  for (let at = 0; at < xml.length; at += piece) records.push(...reader.write(xml.slice(at, at + piece)));
  return [...records, ...reader.end()];
}

describe("the rows of a sheet", () => {
  it("have the cells in their places, whatever kind they are of, under the number the sheet gives them", () => {
    const rows = `<row r="2"><c r="B2" t="s"><v>1</v></c><c r="D2" s="1"><v>45000.25</v></c><c r="E2" t="b"><v>1</v></c></row>
      <row r="4" spans="1:3"/><row r="5"><c r="A5" s="1"/><c r="B5" t="inlineStr"><is><t> </t></is></c></row>
      <row r="7"><c t="e"><v>#N/A</v></c><c t="str"><f>A1</f><v>x &amp; y</v></c><c t="inlineStr"><is><r><t>a</t></r><r><t>b</t></r><rPh><t>no</t></rPh></is></c></row>`;
    expect(read(rows)).toEqual([
      { line: 2, cells: ["", "one", "", "2023-03-15T06:00:00", "true"], flaw: null },
      { line: 7, cells: ["#N/A", "x & y", "ab"], flaw: null },
    ]);
  });

  it("may use a prefix for their tags", () => {
    expect(read('<x:row r="1"><x:c r="A1"><x:v>5</x:v></x:c></x:row>')).toMatchObject([{ cells: ["5"] }]);
  });

  it.each([
    ['<c r="A1"><f>1+1</f></c>', "a formula without a result in A1"],
    ['<c r="A1" t="s"><v>7</v></c>', "a text in A1 that the workbook does not hold"],
    ['<c r="AB1"><v>1,5</v></c>', "a number in AB1 that is none"],
    ['<c r="A1"><v>1</v></c><c r="A1"><v>2</v></c>', "the cell A1 twice"],
    ['<c r="ALN1"><v>1</v></c>', "beyond column 1000"],
  ])("with %s are refused and the others stay", (cell, reason) => {
    const records = read(`<row r="1">${cell}</row><row r="2"><c r="A2"><v>5</v></c></row>`);
    expect(records).toMatchObject([
      { line: 1, flaw: expect.stringContaining(reason) },
      { line: 2, cells: ["5"], flaw: null },
    ]);
  });

  it.each([
    ['<row r="3"/><row r="3"/>'],
    ['<row r="2000000"/>'],
    ['<row r="1"><c r="ZZZ1"/></row>'],
    ['<row r="1"><c r="?"/></row>'],
    ["<row>"],
    ["<a>".repeat(200)],
    [`<row r="1"><c t="str"><v>${"x".repeat(5_000_000)}</v></c></row>`],
  ])("that no workbook can have are an error, not a guess: %#", (rows) => {
    expect(() => read(rows, 100_000)).toThrow();
  });

  it("come back whole, wherever the pieces end", () => {
    const cell = fc.string({ unit: fc.constantFrom("a", "<", "&", " ", "é", "𝄞", "_x000A_"), maxLength: 8 });
    fc.assert(
      fc.property(fc.array(fc.tuple(cell, cell), { maxLength: 6 }), fc.integer({ min: 1, max: 60 }), (table, piece) => {
        const xml = table.map(
          (row) => `<row>${row.map((text) => `<c t="str"><v>${escaped(text)}</v></c>`).join("")}</row>`,
        );
        const expected = table
          .map((row) => row.map((text) => text.replaceAll("_x000A_", "\n")))
          .filter((row) => row.some((text) => text.trim() !== ""));
        const width = ([a = "", b = ""]: string[]) => (b.trim() === "" ? [a] : [a, b]);
        expect(read(xml.join(""), piece).map((record) => record.cells)).toEqual(expected.map(width));
      }),
      { numRuns: 300 },
    );
  });
});

describe("the texts that cells share", () => {
  it("come back by their number, over the limits of a page, and none stands beyond the last", () => {
    const texts = new SharedTexts();
    const all = Array.from({ length: 9_000 }, (_, index) => (index % 7 === 0 ? "" : `text ${index}`));
    texts.write(`<sst>${all.map((text) => `<si><t>${text}</t></si>`).join("")}</sst>`);
    texts.end();
    expect(all.map((_, index) => texts.textAt(index))).toEqual(all);
    expect(texts.textAt(9_000)).toBeNull();
  });
});
