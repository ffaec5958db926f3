import { parse } from "csv-parse/sync";
import { describe, expect, it } from "vitest";
import { detectorsCsv } from "@/lib/report/detectors-csv";
import { safeCell } from "@/lib/report/safe-cell";
import { makeAnalysis } from "@/tests/fixtures/analysis-result";

describe("the exported list of detectors", () => {
  it.each([
    ["=1+2", "'=1+2"],
    ["+49 170", "'+49 170"],
    ["-drop", "'-drop"],
    ["@SUM(A1)", "'@SUM(A1)"],
    ["\t=1", "'\t=1"],
    [" =1", "' =1"],
    ["\uFF1D1+2", "'\uFF1D1+2"],
    ["Bay 4 = east", "Bay 4 = east"],
    ["", ""],
  ])("a text such as %j can never run as a formula", (text, cell) => {
    expect(safeCell(text)).toBe(cell);
  });

  it("reads back with its words and amounts, and negative amounts stay numbers", () => {
    const { result } = makeAnalysis({ siteCount: 1, perSite: 2 });
    const worst = result.detectors[1]!;
    const row = {
      label: '=HYPERLINK("x")',
      siteName: "Hall; north, with a comma",
      access: "ladder",
      pathLengthM: 71.5,
      benefit: { mean: -42_550, low: -50_000, high: 120 },
      result: { ...worst, visit: { ...worst.visit, cost: 42_500 } },
    } as const;
    const text = detectorsCsv([row], { currency: "EUR", header: true });
    const [read] = parse<Record<string, string>>(text, { columns: true });
    expect(read).toMatchObject({
      detector_id: worst.detectorId,
      label: `'=HYPERLINK("x")`,
      site: "Hall; north, with a comma",
      path_length_m: "71.5",
      visit_cost_eur: "425",
      net_benefit_eur: "-425.5",
      net_benefit_low_eur: "-500",
      net_benefit_high_eur: "1.2",
    });
  });
});
