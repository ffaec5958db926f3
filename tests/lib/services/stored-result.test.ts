import { describe, expect, it } from "vitest";
import { saveRun } from "@/db/queries/analysis-runs";
import {
  latestResult,
  RESULT_FORMAT,
  storedDetector,
  storedDetectors,
  storedSite,
  storedSites,
} from "@/lib/services/stored-result";
import { makeAnalysisStore } from "@/tests/fixtures/analysis-store";

describe("stored results", () => {
  it("come back as they were saved: fleet, sites and detectors", async () => {
    const { store, result } = await makeAnalysisStore({ siteCount: 3, perSite: 4 });
    const run = await latestResult(store);
    expect(run).toMatchObject({ asOf: result.asOf, horizonDays: 90, currency: "EUR", fleet: result.fleet });
    const runId = run!.id;
    const { total, rows } = await storedDetectors(store, { runId, sort: "rank", limit: 100 });
    expect(total).toBe(12);
    expect(rows.map((row) => row.result)).toEqual(result.detectors);
    const bySiteId = [...result.sites].sort((a, b) => (a.siteId < b.siteId ? -1 : 1));
    expect((await storedSites(store, { runId })).map((site) => site.result)).toEqual(bySiteId);
    const one = result.detectors[5]!;
    expect((await storedDetector(store, { runId, detectorId: one.detectorId }))?.result).toEqual(one);
    expect((await storedSite(store, { runId, siteId: one.siteId }))?.result.siteId).toBe(one.siteId);
  });

  it("are none for an unknown site or detector", async () => {
    const { store } = await makeAnalysisStore({ siteCount: 1, perSite: 1 });
    const runId = (await latestResult(store))!.id;
    expect(await storedSite(store, { runId, siteId: "nowhere" })).toBeNull();
    expect(await storedDetector(store, { runId, detectorId: "nothing" })).toBeNull();
  });

  it("of another format are not read, but asked for anew", async () => {
    const { store } = await makeAnalysisStore({ siteCount: 1, perSite: 1 });
    await saveRun(store, {
      asOf: 0,
      horizonDays: 90,
      settingsVersion: 0,
      dataVersion: 0,
      formatVersion: RESULT_FORMAT + 1,
      createdAt: 0,
      fleet: { shape: "of tomorrow" },
      sites: [],
      detectors: [],
    });
    expect(await latestResult(store)).toBeNull();
  });
});
