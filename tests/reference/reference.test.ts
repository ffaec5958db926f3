import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { kindByName, kindByStructure, runReference, runReferenceFile } from "./run-reference";

const folder = join(import.meta.dirname, "stats");
const files = readdirSync(folder).filter((name) => name.endsWith(".json"));
const read = (file: string) => JSON.parse(readFileSync(join(folder, file), "utf8"));

describe("every published and independently computed reference value is met", () => {
  for (const file of files) {
    it(`${file} within its own tolerance`, () => {
      const result = runReferenceFile(join(folder, file));
      expect(result.failures).toEqual([]);
      expect(result.cases).toBeGreaterThan(0);
      expect(result.within).toBe(result.cases);
    });
  }
});

describe("the runner itself", () => {
  for (const file of files) {
    it(`knows ${file} by its structure too, so that further files of its kind need no special name`, () => {
      expect(kindByStructure(read(file))?.name).toBe(kindByName(file)?.name);
    });
  }

  it("notices a wrong figure, and names the case", () => {
    const json = read("cauchy_combination.json");
    json.cases[1].expected.p += 2 * json.tolerance;
    const { within, cases, failures } = runReference("cauchy_combination.json", json);
    expect(within).toBe(cases - 1);
    expect(failures[0]).toMatch(/0\.05, 0\.05/);
  });

  it("notices a figure we do not give, a list of another length, and a file nobody knows", () => {
    const json = read("cusum.json");
    json.cases[0].expected.surprise = 1;
    json.cases[1].expected.high.pop();
    expect(runReference("cusum.json", json).within).toBe(0);
    expect(() => runReference("unheard_of.json", { title: "none" })).toThrow(/no kind/);
  });
});
