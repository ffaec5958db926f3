import { describe, expect, it } from "vitest";
import { openStore } from "@/db/client";
import { raiseDataVersion } from "@/db/queries/data-version";
import type { Context } from "@/lib/services/context";
import { permissions } from "@/lib/services/permissions";
import { showFleet } from "@/lib/services/show-fleet";
import { FIXTURE_AS_OF } from "@/tests/fixtures/analysis-result";
import { makeAnalysisStore } from "@/tests/fixtures/analysis-store";

const owner = (store: Context["store"]): Context => ({ store, now: FIXTURE_AS_OF, permissions: new Set(permissions) });

async function readyFleet() {
  const made = await makeAnalysisStore();
  const view = await showFleet(owner(made.store));
  if (view.state !== "ready") throw new Error("the fixture holds a run");
  return { ...made, view };
}

describe("the overview", () => {
  it("is refused to a person who may not see", async () => {
    const { store } = await makeAnalysisStore({ siteCount: 1, perSite: 1 });
    await expect(showFleet({ ...owner(store), permissions: new Set() })).rejects.toThrow(/needs the right 'see'/);
  });

  it("says that there is nothing yet in an empty store", async () => {
    expect(await showFleet(owner(openStore(":memory:")))).toEqual({ state: "no_result", sites: 0 });
  });

  it("shows the ten best visits in the order of their rank, with their money and their beams", async () => {
    const { view, result, detectors } = await readyFleet();
    expect(view.visits.map(({ rank }) => rank)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    const best = result.detectors[0]!;
    const known = detectors.find(({ detectorId }) => detectorId === best.detectorId)!;
    expect(view.visits[0]).toMatchObject({
      detectorId: best.detectorId,
      netBenefit: best.visit.netBenefit,
      cost: best.visit.cost,
      beam: { pathLengthM: known.pathLengthM, form: known.form, faultEpisodes: best.record.faultEpisodes },
    });
  });

  it("gives false alarms by month per 100 detectors observed a month, and none where nothing was observed", async () => {
    const { store, result } = await makeAnalysisStore({ siteCount: 2, perSite: 5 });
    const { saveResult } = await import("@/lib/services/stored-result");
    const byMonth = [
      // 3 alarms on 10 detectors over one month of 30.44 days: 30 per 100 detectors a month.
      { month: 1, alarms: 3, detectorDays: 304.4 },
      { month: 2, alarms: 0, detectorDays: 0 },
    ];
    const fleet = { ...result.fleet, falseAlarmsByMonthOfYear: byMonth };
    await saveResult(store, { ...result, fleet }, { settingsVersion: 0, dataVersion: 0, createdAt: FIXTURE_AS_OF });
    const view = await showFleet(owner(store));
    if (view.state !== "ready") throw new Error("the fixture holds a run");
    expect(view.falseAlarms.byMonth[0]?.rate).toBeCloseTo(30, 9);
    expect(view.falseAlarms.byMonth[1]?.rate).toBeNull();
  });

  it("says which run it comes from, and that data moved since", async () => {
    const { store, view } = await readyFleet();
    expect(view.run).toMatchObject({ asOf: FIXTURE_AS_OF, horizonDays: 90, currency: "EUR", dataMoved: false });
    await raiseDataVersion(store);
    const later = await showFleet(owner(store));
    expect(later.state === "ready" && later.run.dataMoved).toBe(true);
  });

  it("counts the silence of a site to the as-of moment, and knows none for a site without records", async () => {
    const { view } = await readyFleet();
    // The fixture's second site sent its last record 11 days before the as-of moment, the eighth none at all.
    expect(view.sites.find(({ siteId }) => siteId === "KOR-02")?.silentDays).toBeCloseTo(11, 9);
    expect(view.sites.find(({ siteId }) => siteId === "QUI-08")?.silentDays).toBeNull();
  });
});
