import { beforeAll, describe, expect, it } from "vitest";
import type { Context } from "@/lib/services/context";
import { openContext } from "@/lib/services/context";
import { exportDetectors } from "@/lib/services/export-detectors";
import { DETECTORS_PER_PAGE, showDetectors } from "@/lib/services/show-detectors";
import { FIXTURE_AS_OF } from "@/tests/fixtures/analysis-result";
import { makeAnalysisStore } from "@/tests/fixtures/analysis-store";

const now = FIXTURE_AS_OF + 7_200_000;
let context: Context;
let count = 0;
beforeAll(async () => {
  const { store, detectors } = await makeAnalysisStore();
  context = { ...openContext(":memory:", { now }), store };
  count = detectors.length;
});

describe("the list of detectors", () => {
  it("starts with the best visit and pages through all detectors, each once", async () => {
    const first = await showDetectors(context);
    expect(first).toMatchObject({ total: count, page: 1, pages: Math.ceil(count / DETECTORS_PER_PAGE) });
    expect(first.rows[0]?.result.rank).toBe(1);
    const seen = new Set<string>();
    for (let page = 1; page <= first.pages; page += 1) {
      for (const row of (await showDetectors(context, { page })).rows) seen.add(row.detectorId);
    }
    expect(seen.size).toBe(count);
  });

  it("a page past the end gives the last one", async () => {
    const last = await showDetectors(context, { page: 999 });
    expect(last.page).toBe(last.pages);
    expect(last.rows.length).toBeGreaterThan(0);
  });

  it("filters by site, kind of finding, access and text, all at once", async () => {
    const all = await showDetectors(context, { kind: "signal_drift" });
    const row = all.rows[0]!;
    expect(all.rows.every(({ findingKinds }) => findingKinds.includes("signal_drift"))).toBe(true);
    const narrow = await showDetectors(context, {
      kind: "signal_drift",
      siteId: row.siteId,
      access: row.access,
      text: row.detectorId.toLowerCase(),
    });
    expect(narrow.rows.map(({ detectorId }) => detectorId)).toEqual([row.detectorId]);
    expect((await showDetectors(context, { text: "100%_nothing" })).total).toBe(0);
  });

  it("sorts by overdue days with the detectors that are not overdue last", async () => {
    const { rows } = await showDetectors(context, { sort: "testOverdueDays", direction: "desc" });
    const overdue = rows.map(({ testOverdueDays }) => testOverdueDays);
    expect(overdue[0]).toBe(42);
    expect(overdue.at(-1)).toBeNull();
  });

  it("gives the net benefit the interval of what is avoided", async () => {
    const { rows } = await showDetectors(context);
    const { benefit, result } = rows[0]!;
    expect(benefit.mean).toBe(result.visit.netBenefit);
    expect(benefit.high - benefit.low).toBeCloseTo(result.visit.avoidedCost.high - result.visit.avoidedCost.low, 6);
  });

  it("exports everything that is filtered, not only the page in view", async () => {
    let text = "";
    for await (const part of await exportDetectors(context, { access: "ladder" })) text += part;
    const { total } = await showDetectors(context, { access: "ladder" });
    expect(total).toBeGreaterThan(DETECTORS_PER_PAGE);
    expect(text.trim().split("\r\n")).toHaveLength(total + 1);
  });

  it("is empty before the first analysis and still offers the sites to filter by", async () => {
    const empty = openContext(":memory:", { now });
    expect(await showDetectors(empty)).toMatchObject({ run: null, rows: [], total: 0, page: 1, pages: 1 });
  });

  it("is refused to a caller without the right", async () => {
    const nobody: Context = { ...context, permissions: new Set() };
    await expect(showDetectors(nobody)).rejects.toMatchObject({ code: "forbidden" });
    await expect(exportDetectors(nobody)).rejects.toMatchObject({ code: "forbidden" });
  });
});
