import { describe, expect, it } from "vitest";
import { openStore } from "@/db/client";
import type { Context } from "@/lib/services/context";
import { permissions } from "@/lib/services/permissions";
import { type SiteLine, showSites, siteSorts } from "@/lib/services/show-sites";
import { FIXTURE_AS_OF } from "@/tests/fixtures/analysis-result";
import { makeAnalysisStore } from "@/tests/fixtures/analysis-store";

const owner = (store: Context["store"]): Context => ({ store, now: FIXTURE_AS_OF, permissions: new Set(permissions) });
const byCost = { sort: "expectedCost", direction: "desc", page: 1 } as const;

async function lines(query: Parameters<typeof showSites>[1], siteCount = 12): Promise<readonly SiteLine[]> {
  const { store } = await makeAnalysisStore({ siteCount, perSite: 3 });
  const view = await showSites(owner(store), query);
  if (view.state !== "ready") throw new Error("the fixture holds a run");
  return view.lines;
}

describe("the league table of sites", () => {
  it("is refused to a person who may not see", async () => {
    const nobody = { ...owner(openStore(":memory:")), permissions: new Set<never>() };
    await expect(showSites(nobody, byCost)).rejects.toThrow(/needs the right 'see'/);
  });

  it("says that there is nothing yet in an empty store", async () => {
    expect(await showSites(owner(openStore(":memory:")), byCost)).toEqual({ state: "no_result", sites: 0 });
  });

  it("stands by expected cost, dearest first, unless asked otherwise", async () => {
    const costs = (await lines(byCost)).map(({ expectedCost }) => expectedCost.mean);
    expect(costs).toEqual([...costs].sort((a, b) => b - a));
  });

  it("puts a site of which nothing can be said last in either direction", async () => {
    for (const direction of ["asc", "desc"] as const) {
      const last = (await lines({ sort: "faultRate", direction, page: 1 })).at(-1);
      expect(last).toMatchObject({ siteId: "QUI-08", faultRate: null });
    }
  });

  it.each(siteSorts)("shows every site once when sorted by %s", async (sort) => {
    const ids = (await lines({ sort, direction: "asc", page: 1 })).map(({ siteId }) => siteId);
    expect(new Set(ids).size).toBe(12);
  });

  it("cuts the table into pages that together hold every site once", async () => {
    const { store } = await makeAnalysisStore({ siteCount: 30, perSite: 1 });
    const pages = await Promise.all([1, 2].map((page) => showSites(owner(store), { ...byCost, page })));
    const ids = pages.flatMap((view) => (view.state === "ready" ? view.lines.map(({ siteId }) => siteId) : []));
    expect(ids).toHaveLength(30);
    expect(new Set(ids).size).toBe(30);
  });

  it("answers a page beyond the last one with the last one", async () => {
    const { store } = await makeAnalysisStore({ siteCount: 3, perSite: 1 });
    expect(await showSites(owner(store), { ...byCost, page: 99 })).toMatchObject({ page: 1, pages: 1, total: 3 });
  });
});
