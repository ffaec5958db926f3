import { spawnSync } from "node:child_process";
import { stringify } from "csv-stringify/sync";
import fc from "fast-check";
import iconv from "iconv-lite";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { columnNames } from "@/lib/import/table/column-names";
import { fileOf, readTable } from "@/tests/fixtures/read-table";

const header = ["detector", "when", "note"];

describe("a table in separated text", () => {
  it("comes back cell for cell in every encoding, with every separator and line end", async () => {
    const text = fc.string({
      unit: fc.constantFrom("a", "é", "ß", '"', ",", ";", "\t", "|", "\n", " ", "5"),
      maxLength: 8,
    });
    const row = fc.tuple(fc.nat(999), text).map(([id, note]) => [`D${id}é`, "2025-03-01 06:00", note]);
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom("utf8", "utf16le", "utf16-be", "win1252"),
        fc.constantFrom(",", ";", "\t", "|"),
        fc.constantFrom("\n", "\r\n", "\r"),
        fc.boolean(),
        fc.array(row, { minLength: 3, maxLength: 8 }),
        async (encoding, delimiter, record_delimiter, marked, rows) => {
          const written = stringify([header, ...rows], { delimiter, record_delimiter, quoted: true });
          const addBOM = marked && encoding !== "win1252";
          const table = await readTable(iconv.encode(written, encoding, { addBOM }));
          expect(table.columns).toEqual(header);
          expect(table.cells).toEqual(rows);
        },
      ),
      { numRuns: 150 },
    );
  });

  it("written by another program's CSV and text writers comes back the same", async ({ skip }) => {
    const script = `
import base64, csv, gzip, io, json
rows = [["detector","when","note"],["D1","2025-03-01","caf\\u00e9 \\u20ac, \\"so\\""],["D2","2025-03-02","two\\nlines; tab\\t"]]
files = []
for dialect in ["excel", "excel-tab", "unix"]:
    for encoding in ["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252"]:
        text = io.StringIO(); csv.writer(text, dialect=dialect).writerows(rows)
        data = text.getvalue().encode(encoding)
        files += [base64.b64encode(data).decode(), base64.b64encode(gzip.compress(data)).decode()]
print(json.dumps(files))`;
    const { status, stdout } = spawnSync("python3", ["-c", script], { encoding: "utf8" });
    if (status !== 0) skip("needs another program that writes CSV");
    const files = z.array(z.string()).length(30).parse(JSON.parse(stdout));
    for (const [index, file] of files.entries()) {
      const { cells, format } = await readTable(Buffer.from(file, "base64"));
      expect(cells).toEqual([
        ["D1", "2025-03-01", 'café €, "so"'],
        ["D2", "2025-03-02", "two\nlines; tab\t"],
      ]);
      expect(format.packed).toBe(index % 2 === 1);
    }
  });

  it("with its only é at the end of a long file is read as Windows-1252, and says so", async () => {
    const rows = Array.from({ length: 100_000 }, (_, index) => `D${index};2025-03-01;plain`);
    const { records, note, format } = await readTable(
      Buffer.from(`${header.join(";")}\n${rows.join("\n")}\nD;x;caf\u00e9\n`, "latin1"),
    );
    expect(records).toHaveLength(100_001);
    expect(records.at(-1)?.cells[2]).toBe("café");
    expect([format.encoding, note]).toEqual(["windows-1252", "is not UTF-8, so it is read as Windows-1252"]);
  });

  it("in UTF-8 with a few broken lines loses those and no other", async () => {
    const rows = Array.from({ length: 50 }, (_, index) => Buffer.from(`D${index},2025,größer\n`));
    const broken = Buffer.from("D,2025,gr\u00f6\u00dfer\n", "latin1");
    const { records, format } = await readTable(Buffer.concat([Buffer.from("a,b,c\n"), ...rows, broken, ...rows]));
    expect(format.encoding).toBe("utf-8");
    expect(records.filter(({ flaw }) => flaw !== null)).toMatchObject([{ line: 52 }]);
    expect(records).toHaveLength(101);
  });

  it("with half a character of UTF-16, or a byte that Windows-1252 has not, loses that line alone", async () => {
    const wide = Buffer.from("\ufeffa,b\n1,2\n3,\ud800\n5,6\n7,8", "utf16le");
    const wideTable = await readTable(Buffer.concat([wide, Buffer.from([0x41])]));
    expect(wideTable.records.map(({ line, flaw }) => [line, flaw === null])).toEqual([
      [2, true],
      [3, false],
      [4, true],
      [5, false],
    ]);
    const narrow = await readTable(Buffer.from("a,b\n\u00e9,2\n3,\u0081\n5,6", "latin1"), { encoding: "windows-1252" });
    expect(narrow.records.map(({ line, flaw }) => [line, flaw === null])).toEqual([
      [2, true],
      [3, false],
      [4, true],
    ]);
  });

  it("is cut as its sender chose, against what it looks like", async () => {
    expect((await readTable("a;b,c\n1;2,3", { separator: "," })).cells).toEqual([["1;2", "3"]]);
    expect((await readTable(Buffer.from("a,b\n\u00c3\u00a9,2", "latin1"), { encoding: "windows-1252" })).cells).toEqual(
      [["Ã©", "2"]],
    );
    expect(await readTable("a,b\n1,2", { headerLine: 0 })).toMatchObject({
      columns: ["column 1", "column 2"],
      cells: [
        ["a", "b"],
        ["1", "2"],
      ],
      note: null,
    });
    await expect(readTable("a,b\n\n1,2", { headerLine: 2 })).rejects.toThrow("no column names in the line chosen");
  });

  it("leaves out titles and the line that names the separator, and counts lines from the top of the file", async () => {
    const titled = await readTable("Event report, printed 2025\r\n\r\nId;When\r\nD1;2025-01-01\r\n;\r\nD2;2025-01-02");
    expect(titled.records.map(({ line }) => line)).toEqual([4, 6]);
    expect(titled.note).toBe("the column names stand in line 3; what stands above is left out");
    expect(await readTable("sep=|\nx|y\n1|2")).toMatchObject({ columns: ["x", "y"], cells: [["1", "2"]], note: null });
    expect((await readTable("sep=;\n1;2", { headerLine: 0 })).cells).toEqual([["1", "2"]]);
  });

  it("takes no titles of a few cells for the header, though the rows below are as wide", async () => {
    const titled = "Site;Hall;\nPrinted by;Control room;\nId;When;Text\nD1;2025-01-01;Fault\nD2;2025-01-02;Fire\n";
    const table = await readTable(titled);
    expect(table.columns).toEqual(["Id", "When", "Text"]);
    expect(table.records.map(({ line }) => line)).toEqual([4, 5]);
  });

  it("accounts for every line of any text, in order, and never fails but in plain words", async () => {
    const part = fc.constantFrom('"', ",", ";", "\t", "a", "1", " ", "\r", "\n", "\n", "é", "sep=;", "{", "}");
    await fc.assert(
      fc.asyncProperty(
        fc.array(part, { maxLength: 60 }),
        fc.constantFrom("utf8", "win1252", "utf16le"),
        async (parts, encoding) => {
          const text = `x;y\n${parts.join("").replaceAll("\r", "")}`;
          const { records, format } = await readTable(
            iconv.encode(text, encoding, { addBOM: encoding === "utf16le" }),
            { separator: ";", headerLine: 1 },
          );
          expect(format.headerLine).toBe(1);
          const starts = records.map((record) => record.line);
          expect(starts).toEqual([...new Set(starts)].toSorted((a, b) => a - b));
          for (const [index, line] of text.split("\n").entries()) {
            if (index === 0 || /^[\s;"]*$/.test(line)) continue;
            expect(starts.some((start) => start <= index + 1)).toBe(true);
          }
        },
      ),
      { numRuns: 200 },
    );
  });

  it.each([
    ["nothing", "", "is empty; a file needs a header line"],
    ["blank cells only", ",,\n,,\n", "is empty; a file needs a header line"],
    ["a first line of 6 MB", "x".repeat(6_000_000), "longer than 4 MB"],
    ["a million columns", `a${",b".repeat(1_000_000)}\n1,2`, "more than 1000 cells"],
    ["a web page", "<!DOCTYPE html><table>", "is a web page or XML"],
    ["a PDF", "%PDF-1.7", "is a PDF"],
    ["an old workbook", Buffer.from("d0cf11e0a1b11ae1", "hex"), "is an old or protected workbook"],
    [
      "bytes of all kinds",
      Uint8Array.from({ length: 4_000 }, (_, index) => (index * 37) % 256),
      "is not text in UTF-8",
    ],
  ])("of %s is refused in words that say what to do", async (_, content, reason) => {
    await expect(readTable(content)).rejects.toMatchObject({
      name: "FileFlaw",
      message: expect.stringContaining(reason),
    });
  });

  it("gives its rows anew at each reading, also after one that was broken off", async () => {
    const { openTable } = await import("@/lib/services/import/open-table");
    const table = await openTable(fileOf("a,b\n1,2\n3,4"));
    for await (const _ of table.rows()) break;
    const lines: number[] = [];
    for await (const { records } of table.rows()) lines.push(...records.map((record) => record.line));
    expect(lines).toEqual([2, 3]);
  });
});

describe("JSON lines as a table", () => {
  it("have a column for each key of the beginning, and each object in its line", async () => {
    const { columns, records, format } = await readTable(
      '{"id":"D1","at":{"on":"2025"}}\r\n\r\n[1]\r\n{"v":1.50,"id":"D2"}\r\n{"v":',
    );
    expect([columns, format.form]).toEqual([["id", "at.on", "v"], "json_lines"]);
    expect(
      records.map(({ line, cells, flaw }) => (flaw === null ? [line, ...cells] : [line, flaw.slice(0, 11)])),
    ).toEqual([
      [1, "D1", "2025", ""],
      [3, "is no JSON "],
      [4, "D2", "", "1.50"],
      [5, "is not JSON"],
    ]);
  });

  it("refuse a line with a key that none of the first thousand has, rather than lose its value", async () => {
    const { records } = await readTable(`${'{"a":1}\n'.repeat(1_000)}{"a":2,"b":3}\n{"a":4}\n`);
    expect(records).toHaveLength(1_002);
    expect(records[1_000]).toMatchObject({ line: 1_001, flaw: expect.stringContaining("the key 'b'") });
  });

  it("that are one list over the whole file are refused with what to send", async () => {
    await expect(readTable('[{"a":1},\n{"a":2}]')).rejects.toThrow("send JSON lines");
  });

  it("come back value for value from a JSON writer", async () => {
    const record = fc.record({ id: fc.string({ unit: "grapheme" }), v: fc.integer(), on: fc.boolean() });
    await fc.assert(
      fc.asyncProperty(fc.array(record, { minLength: 1, maxLength: 10 }), async (rows) => {
        const { columns, cells } = await readTable(rows.map((row) => JSON.stringify(row)).join("\n"));
        expect(columns).toEqual(columnNames(["id", "v", "on"], { width: 3 }));
        expect(cells).toEqual(rows.map((row) => Object.values(row).map(String)));
      }),
      { numRuns: 60 },
    );
  });
});
