import { gzipSync } from "node:zlib";
import Excel from "exceljs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { makeArchive, workbookParts } from "@/tests/fixtures/archive";
import { readTable } from "@/tests/fixtures/read-table";

type Fill = (workbook: Excel.Workbook) => void;

async function written(fill: Fill): Promise<Buffer> {
  const workbook = new Excel.Workbook();
  fill(workbook);
  return Buffer.from(await workbook.xlsx.writeBuffer());
}

const day = (...parts: [number, number, number, number?, number?, number?]) => new Date(Date.UTC(...parts));
const rowXml = (number: number, ...values: string[]) =>
  `<row r="${number}">${values.map((value) => `<c t="str"><v>${value}</v></c>`).join("")}</row>`;
const small = makeArchive(workbookParts(rowXml(1, "id", "note") + rowXml(2, "D1", "x")));

describe("a workbook", () => {
  it("gives each cell as the sheet shows it, under the row's own number, without titles and blank rows", async () => {
    const content = await written((workbook) => {
      workbook.addWorksheet("Cover");
      const sheet = workbook.addWorksheet("Events");
      sheet.addRow(["Event report"]);
      sheet.mergeCells("A1:F1");
      sheet.addRow([]);
      sheet.addRow(["id", "when", "on", "level", "share", "note"]);
      sheet.addRow([
        "D1",
        day(2025, 2, 30, 2, 30, 15),
        day(2025, 2, 30),
        95.2,
        0.952,
        { richText: [{ text: "a" }, { text: "b" }] },
      ]);
      sheet.addRow([null, null, " "]);
      sheet.addRow([
        "D2",
        day(1899, 11, 31),
        null,
        { formula: "1/8", result: 0.125 },
        { error: "#N/A" },
        { text: "page", hyperlink: "http://a.example" },
      ]);
      sheet.addRow([true, null, null, 1e-7, null, "two\nlines"]);
      sheet.getColumn(2).numFmt = "dd.mm.yyyy hh:mm:ss";
      sheet.getColumn(3).numFmt = "dd.mm.yyyy";
      sheet.getColumn(5).numFmt = "0.0%";
    });
    const { columns, records, format, note } = await readTable(content);
    expect(columns).toEqual(["id", "when", "on", "level", "share", "note"]);
    expect(records.map(({ line, cells }) => [line, ...cells])).toEqual([
      [4, "D1", "2025-03-30T02:30:15", "2025-03-30", "95.2", "95.2%", "ab"],
      [6, "D2", "1900-01-01T00:00:00", "", "0.125", "#N/A", "page"],
      [7, "true", "", "", "0.0000001", "", "two\nlines"],
    ]);
    expect(format).toEqual({
      packed: false,
      form: "workbook",
      encoding: null,
      separator: null,
      sheet: "Events",
      headerLine: 3,
    });
    expect(note).toContain("read from the sheet 'Events'; it also has 'Cover'");
  });

  it("is read from the sheet that was chosen, or says which there are; a hidden one only when no other has rows", async () => {
    const content = await written((workbook) => {
      workbook.addWorksheet("Hidden", { state: "hidden" }).addRows([["h"], [1]]);
      workbook.addWorksheet("Seen").addRows([["s"], [2]]);
    });
    expect(await readTable(content)).toMatchObject({ columns: ["s"], cells: [["2"]] });
    expect(await readTable(content, { sheet: "hidden " })).toMatchObject({ columns: ["h"], note: null });
    await expect(readTable(content, { sheet: "Third" })).rejects.toThrow("its sheets are 'Hidden', 'Seen'");
  });

  it("counts days from 1904 where it says so", async () => {
    const content = await written((workbook) => {
      workbook.properties.date1904 = true;
      const sheet = workbook.addWorksheet("S");
      sheet.addRow(["id", "when"]);
      sheet.addRow(["D1", day(2025, 2, 1, 12)]);
    });
    expect((await readTable(content)).cells).toEqual([["D1", "2025-03-01T12:00:00"]]);
  });

  it("comes back cell for cell from another writer, packed by gzip or not", async () => {
    const text = fc
      .string({ unit: fc.constantFrom("a", "é", "𝄞", "<", "&", '"', ",", " "), maxLength: 6 })
      .map((one) => `t${one}`);
    const value = fc.oneof(
      text,
      fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e9, max: 1e9 }),
      fc.boolean(),
    );
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(text, value), { minLength: 1, maxLength: 6 }),
        fc.boolean(),
        async (rows, packed) => {
          const content = await written((workbook) => workbook.addWorksheet("S").addRows([["id", "value"], ...rows]));
          const { cells } = await readTable(packed ? gzipSync(content) : content);
          expect(cells.map(([id]) => id)).toEqual(rows.map(([id]) => id));
          for (const [index, [, sent]] of rows.entries()) {
            const read = cells[index]?.[1] ?? "";
            if (typeof sent === "number") expect(Number(read) === sent && !/e/i.test(read)).toBe(true);
            else expect(read).toBe(String(sent));
          }
        },
      ),
      { numRuns: 40 },
    );
  });

  it("is refused in words wherever it is cut", async () => {
    for (let length = 30; length < small.length; length += 23) {
      await expect(readTable(small.subarray(0, length))).rejects.toMatchObject({ name: "FileFlaw" });
    }
  });

  it("is refused or read the same whichever byte of it is changed", async () => {
    const whole = await readTable(small);
    for (let at = 4; at < small.length; at += 7) {
      const damaged = Buffer.from(small);
      damaged[at] = (damaged[at] ?? 0) ^ 0x21;
      const result = await readTable(damaged).catch((thrown: unknown) => thrown);
      if (result instanceof Error) expect(result.name).toBe("FileFlaw");
      else expect(result).toMatchObject({ records: whole.records });
    }
  });

  it.each([
    [
      "its sheet ends early",
      { "xl/worksheets/sheet1.xml": "<worksheet><sheetData><row><c><v>1</v></c></row>" },
      "is a damaged workbook",
    ],
    [
      "its rows go backwards",
      {
        "xl/worksheets/sheet1.xml": `<worksheet><sheetData>${rowXml(2, "a")}${rowXml(1, "b")}</sheetData></worksheet>`,
      },
      "row 1 after row 2",
    ],
    [
      "an entity of its own stands in it",
      {
        "xl/worksheets/sheet1.xml":
          '<!DOCTYPE w [<!ENTITY a "b">]><worksheet><sheetData><row><c t="str"><v>&a;</v></c></row></sheetData></worksheet>',
      },
      "is a damaged workbook",
    ],
    [
      "its sheet is not UTF-8",
      { "xl/worksheets/sheet1.xml": Buffer.from([0x3c, 0x77, 0x3e, 0xff, 0xfe]) },
      "is a damaged workbook",
    ],
    ["it has no rows", { "xl/worksheets/sheet1.xml": "<worksheet><sheetData/></worksheet>" }, "has no rows"],
    ["its sheet is not there", { "xl/_rels/workbook.xml.rels": "<Relationships/>" }, "has no sheet that can be read"],
    [
      "a text is endless",
      { "xl/worksheets/sheet1.xml": `<worksheet><sheetData><row><c t="str"><v>${"x".repeat(9_000_000)}` },
      "a text or tag without an end",
    ],
  ])("is refused when %s", async (_, parts, reason) => {
    const content = makeArchive({ ...workbookParts(""), ...parts });
    await expect(readTable(content)).rejects.toMatchObject({
      name: "FileFlaw",
      message: expect.stringContaining(reason),
    });
  });

  it("that unpacks to far more than a table, or lies about its size or checksum, is refused", async () => {
    const bomb = makeArchive(workbookParts(`<row>${" ".repeat(70_000_000)}</row>`));
    await expect(readTable(bomb)).rejects.toThrow("unpacks to far more than a table");
    const parts = workbookParts(rowXml(1, "id") + rowXml(2, "D1"));
    await expect(readTable(makeArchive(parts, { sizeOf: (data) => data.length - 1 }))).rejects.toThrow(
      "damaged or cut",
    );
    await expect(readTable(makeArchive(parts, { checksumOf: () => 7 }))).rejects.toThrow("damaged or cut");
  });

  it("is told from other archives, which are refused with what to do", async () => {
    await expect(readTable(makeArchive({ "a.csv": "a,b" }))).rejects.toThrow("is an archive, not a workbook");
    await expect(readTable(makeArchive({ "content.xml": "<x/>" }))).rejects.toThrow("is an OpenDocument file");
    await expect(readTable(Buffer.from("PK\u0003\u0004 and so on"))).rejects.toThrow("damaged or cut workbook");
  });
});
