import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { runReferenceFile } from "./run-reference";

const folder = join(import.meta.dirname, "stats");

describe("every published and independently computed reference value is met", () => {
  for (const file of readdirSync(folder).filter((name) => name.endsWith(".json"))) {
    it(`${file} within its own tolerance`, () => {
      const result = runReferenceFile(join(folder, file));
      expect(result.failures).toEqual([]);
      expect(result.cases).toBeGreaterThan(0);
      expect(result.within).toBe(result.cases);
    });
  }
});
