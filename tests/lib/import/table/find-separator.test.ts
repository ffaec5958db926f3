import { stringify } from "csv-stringify/sync";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { findSeparator } from "@/lib/import/table/find-separator";
import { separatorLine } from "@/lib/import/table/separator-line";

function found(text: string, headerLine?: number) {
  const { separator, header, records } = findSeparator(
    { lines: text.split("\n"), firstLine: 1, whole: true },
    { headerLine },
  );
  return [separator, header.named ? records[header.place]?.line : 0];
}

describe("the separator and the header of a table", () => {
  it.each([
    ["a;b\n1,5;2", ";", 1],
    ["a;b;c\n1,5;2,5;3,5\n1,5;2,5;3,5", ";", 1],
    ["Zeit;Signal, %\n01.02.2025 10:00;95,5\n02.02.2025 10:00;94,5", ";", 1],
    ["Melder;Text;Signal\nD1;foo;95,5\nD1;foo;95,4", ";", 1],
    ["id,note\nD1,a; b, c\nD2,d; e\nD3,f; g", ",", 1],
    ["id|when\nD1|2025-01-01", "|", 1],
    ["id\twhen, where\nD1\tnow, here", "\t", 1],
    ["Event report, printed 2025-03-01\n\nid;when;what\nD1;01.03.2025;fault\nD2;02.03.2025;fault", ";", 3],
    ["Report;;;\nSite;North;;\nId;When;What;Level\nD1;1.2.2025;fault;1,5\nD2;1.2.2025;fault;2", ";", 3],
    ["detector_id;read_at;signal_pct\nbroken\nbroken\nbroken, broken", ";", 1],
    [",time,value\n0,2025-01-01,5\n1,2025-01-02,6", ",", 1],
    ["time,1,2,3\n2025-01-01,5,6,7\n2025-01-02,5,6,7", ",", 1],
    ["D1;2025-01-01T00:00:00Z;95,2\nD2;2025-01-01T00:00:00Z;95,3", ";", 0],
    ["id\nD1\nD2", ",", 1],
    ['"a;b";"c\nd"\n"1;2";3\n4;5', ";", 1],
  ])("are found in %j", (text, separator, line) => {
    expect(found(text)).toEqual([separator, line]);
  });

  it("are those the sender chose for the line", () => {
    expect(found("junk;junk;junk\nx,y\n1,2\n3,4", 2)).toEqual([",", 2]);
    expect(found("x,y\n1,2\n3,4", 0)).toEqual([",", 0]);
  });

  it("are found for any table with names above numbers and times, however its words hold other separators", () => {
    const word = fc.string({
      unit: fc.constantFrom("a", "b", " ", ",", ";", "|", '"', "\n"),
      minLength: 1,
      maxLength: 6,
    });
    const name = word.map((text) => `n${text.replace(/\s/g, "_")}`);
    fc.assert(
      fc.property(
        fc.constantFrom(",", ";", "\t", "|"),
        fc.tuple(name, name, name),
        fc.array(fc.tuple(word, fc.double({ min: 0, max: 1e3, noNaN: true })), { minLength: 3, maxLength: 8 }),
        (delimiter, header, rows) => {
          const table = rows.map(([text, value]) => [`w${text}`, value.toFixed(2), "2025-01-01T00:00"]);
          expect(found(stringify([header, ...table], { delimiter, quoted: true }))).toEqual([delimiter, 1]);
        },
      ),
      { numRuns: 300 },
    );
  });

  it("know the line in which a spreadsheet names its separator", () => {
    expect(separatorLine("sep=;")).toBe(";");
    expect(separatorLine('"sep=|"')).toBe("|");
    expect(separatorLine("SEP=#")).toBeNull();
    expect(separatorLine("sep=;x")).toBeUndefined();
  });
});
