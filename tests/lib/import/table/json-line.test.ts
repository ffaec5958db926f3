import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { jsonFormOf } from "@/lib/import/table/json-form";
import { readJsonLine } from "@/lib/import/table/json-line";
import { plainNumber } from "@/lib/import/table/plain-number";

function valuesOf(text: string) {
  const read = readJsonLine(text);
  return read.ok ? Object.fromEntries(read.values) : read.flaw;
}

describe("a line of JSON", () => {
  it("gives texts, numbers with their digits as sent, truth values and nothing as cells, one level flattened", () => {
    expect(
      valuesOf(
        '{"id":"D\\"1","v":95.20,"big":12345678901234567890.10,"e":1.5E-3,"on":true,"no":null,"x":{"y":-0,"z":{}}}',
      ),
    ).toContain("two levels deep");
    expect(
      valuesOf(
        '{ "id" : "D\\"1\\\\" ,"v":95.20,"big":12345678901234567890.10,"e":1.5E-3,"on":true,"no":null,"x":{"y":-2}}',
      ),
    ).toEqual({
      id: 'D"1\\',
      v: "95.20",
      big: "12345678901234567890.10",
      e: "0.0015",
      on: "true",
      no: "",
      "x.y": "-2",
    });
  });

  it.each([
    ["[1]", "is no JSON object"],
    ["null", "is no JSON object"],
    ['{"a":1', "is not JSON"],
    ["{'a':1}", "is not JSON"],
    ['{"a":1,"a":1}', "has 'a' twice"],
    ['{"a":{"b":1},"a.b":2}', "has 'a.b' twice"],
    ['{"a":[1,2]}', "has a list in 'a'"],
    ['{"a":1e999}', "beyond all measure"],
    ['{"a":"\\ud800"}', "half a character"],
    ["{}", "without values"],
  ])("such as %s is refused with its reason", (text, reason) => {
    expect(valuesOf(text)).toContain(reason);
  });

  it("keeps every flat object that a JSON writer wrote", () => {
    const value = fc.oneof(fc.string({ unit: "grapheme" }), fc.integer(), fc.boolean(), fc.constant(null));
    const object = fc.dictionary(fc.string({ unit: "grapheme" }), value, { minKeys: 1 });
    fc.assert(
      fc.property(object, fc.nat(3), (flat, indent) => {
        const text = JSON.stringify(flat, null, indent).replaceAll("\n", " ");
        const read = readJsonLine(text);
        const expected = Object.entries(flat).map(([key, one]) => [key, one === null ? "" : String(one)]);
        expect(read.ok && [...read.values]).toEqual(expected);
      }),
      { numRuns: 500 },
    );
  });

  it("never throws, whatever it holds", () => {
    const part = fc.constantFrom("{", "}", "[", "]", '"', "\\", ",", ":", "1", "e", "-", ".", "null", "a", " ");
    fc.assert(
      fc.property(fc.array(part, { maxLength: 14 }), (parts) => {
        const read = readJsonLine(`{"k":${parts.join("")}}`);
        expect(read.ok ? read.values.size : read.flaw.length).toBeGreaterThan(0);
      }),
      { numRuns: 3_000 },
    );
  });

  it("is told from a list over the whole file, an object over several lines, and a table", () => {
    expect(jsonFormOf(['{"a":1}', "", "broken", '{"a":2}'])).toBe("lines");
    expect(jsonFormOf(['[{"a":1},', '{"a":2}]'])).toBe("list");
    expect(jsonFormOf(["{", '"a": 1', "}"])).toBe("object");
    expect(jsonFormOf(["[Time],[Level]", "1,2"])).toBeNull();
  });
});

describe("a number as plain digits", () => {
  it.each([
    ["1.5e3", "1500"],
    ["1.25E-2", "0.0125"],
    ["-7e0", "-7"],
    ["1e21", "1000000000000000000000"],
    ["+3.10", "3.10"],
    [".5", "0.5"],
    ["12.345e1", "123.45"],
  ])("%s is %s", (text, plain) => {
    expect(plainNumber(text)).toBe(plain);
  });

  it("stays the same number without an exponent, for every double", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        const plain = plainNumber(String(value));
        expect(plain).toMatch(/^-?\d+(\.\d+)?$/);
        expect(Number(plain) === value).toBe(true);
      }),
    );
  });

  it("is refused past every measure, and a text that is none is a mistake of the caller", () => {
    expect(plainNumber("1e401")).toBeNull();
    expect(() => plainNumber("1,5")).toThrow(RangeError);
  });
});
