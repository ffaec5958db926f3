import { describe, expect, it } from "vitest";
import { sites as siteTable } from "@/db/schema/index";
import type { Context } from "@/lib/services/context";
import { permissions } from "@/lib/services/permissions";
import { showSite } from "@/lib/services/show-site";
import { FIXTURE_AS_OF } from "@/tests/fixtures/analysis-result";
import { makeAnalysisStore } from "@/tests/fixtures/analysis-store";

const owner = (store: Context["store"]): Context => ({ store, now: FIXTURE_AS_OF, permissions: new Set(permissions) });

describe("the page of a site", () => {
  it("is refused to a person who may not see", async () => {
    const { store, sites } = await makeAnalysisStore({ siteCount: 1, perSite: 1 });
    const nobody = { ...owner(store), permissions: new Set<never>() };
    await expect(showSite(nobody, { siteId: sites[0]!.siteId })).rejects.toThrow(/needs the right 'see'/);
  });

  it("does not know a site that is not in the store", async () => {
    const { store } = await makeAnalysisStore({ siteCount: 1, perSite: 1 });
    await expect(showSite(owner(store), { siteId: "nowhere" })).rejects.toMatchObject({ code: "not_found" });
  });

  it("shows every detector of the site and of no other, best visit first", async () => {
    const { store, detectors, result } = await makeAnalysisStore();
    const view = await showSite(owner(store), { siteId: "HAL-01" });
    if (view.state !== "ready") throw new Error("the fixture holds a run");
    const here = result.detectors.filter(({ siteId }) => siteId === "HAL-01").map(({ detectorId }) => detectorId);
    expect(view.beams.map(({ detectorId }) => detectorId)).toEqual(here);
    const first = detectors.find(({ detectorId }) => detectorId === here[0])!;
    expect(view.beams[0]).toMatchObject({ bearingDeg: first.bearingDeg, access: first.access });
  });

  it("keeps every overdue test in sight, whatever its rank", async () => {
    const { store, result } = await makeAnalysisStore();
    const view = await showSite(owner(store), { siteId: "HAL-01" });
    if (view.state !== "ready") throw new Error("the fixture holds a run");
    const overdue = result.detectors.filter(
      ({ siteId, record }) => siteId === "HAL-01" && (record.testOverdueDays ?? 0) > 0,
    );
    expect(overdue.length).toBeGreaterThan(0);
    expect(view.beams.filter(({ testOverdueDays }) => (testOverdueDays ?? 0) > 0)).toHaveLength(overdue.length);
  });

  it("says of a site that came in after the run that nothing was computed yet", async () => {
    const { store, sites } = await makeAnalysisStore({ siteCount: 1, perSite: 1 });
    store.db
      .insert(siteTable)
      .values({ ...sites[0]!, siteId: "NEW-1" })
      .run();
    expect(await showSite(owner(store), { siteId: "NEW-1" })).toMatchObject({
      state: "no_result",
      site: { siteId: "NEW-1" },
    });
  });
});
