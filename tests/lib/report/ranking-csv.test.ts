import { describe, expect, it } from "vitest";
import { rankDetectors } from "@/lib/rank/rank";
import { rankingCsv } from "@/lib/report/ranking-csv";
import { makeHistory } from "@/tests/fixtures/ranked";
import { at, makeDetector } from "@/tests/fixtures/records";

describe("the ranking as CSV", () => {
  it("turns no id into a formula of a spreadsheet", () => {
    const detectors = [makeDetector({ detectorId: "=HYPERLINK(1)" })];
    const csv = rankingCsv(
      rankDetectors(makeHistory({ asOf: at("2025-01-01"), records: { detectors } }), { horizonDays: 90 }),
    );
    const [header, line] = csv.split("\r\n");
    expect(header?.startsWith("rank,detector_id,site_id,task,currency,cost_minor")).toBe(true);
    expect(line?.startsWith("1,'=HYPERLINK(1),S1,")).toBe(true);
  });
});
