import { describe, expect, it } from "vitest";
import { analyseFleet } from "@/lib/services/analyse-fleet";
import type { Context } from "@/lib/services/context";
import { permissions } from "@/lib/services/permissions";
import { rankFleet } from "@/lib/services/rank-fleet";
import { latestResult } from "@/lib/services/stored-result";
import { FIXTURE_AS_OF } from "@/tests/fixtures/analysis-result";
import { makeAnalysisStore } from "@/tests/fixtures/analysis-store";

const { store, detectors } = await makeAnalysisStore({ siteCount: 2, perSite: 3 });
const context: Context = { store, now: FIXTURE_AS_OF, permissions: new Set(permissions) };
const call = { asOf: "2026-06-30", horizonDays: 90, costs: null, format: "json" } as const;

describe("ranking the stored fleet", () => {
  it("lists every detector in service and gives back the as-of text", async () => {
    const json: unknown = JSON.parse(await rankFleet(context, call));
    const ids = expect.arrayContaining(detectors.map(({ detectorId }) => expect.objectContaining({ detectorId })));
    expect(json).toMatchObject({ asOf: "2026-06-30", horizonDays: 90, detectors: ids });
  });

  it("uses the costs of a file in place of the settings", async () => {
    const text = JSON.stringify({ currency: "GBP", travelPerVisit: 1, perTask: { clean: 2 } });
    const json: unknown = JSON.parse(await rankFleet(context, { ...call, costs: { name: "costs.json", text } }));
    expect(json).toMatchObject({ currency: "GBP" });
  });

  it.each([
    [{ asOf: "30.06.2026" }, /as-of '30\.06\.2026' is not a moment; give a day/],
    [{ horizonDays: 731 }, /horizon '731' is not a whole number of days from 1 to 730/],
    [
      { costs: { name: "costs.json", text: '{"travelPerVisit":-1}' } },
      /costs\.json has 'travelPerVisit', which is below 0/,
    ],
  ])("refuses %j and says what to do", async (changes, message) => {
    await expect(rankFleet(context, { ...call, ...changes })).rejects.toThrow(message);
  });

  it("refuses a caller without the right", async () => {
    await expect(rankFleet({ ...context, permissions: new Set() }, call)).rejects.toThrow(/needs the right/);
    await expect(analyseFleet({ ...context, permissions: new Set(["see"]) }, {})).rejects.toThrow(/needs the right/);
  });
});

describe("analysing the stored fleet", () => {
  it("stores the answer as the latest run", async () => {
    const analysed = await analyseFleet(context, { asOf: "2026-06-30", horizonDays: 30 });
    expect(await latestResult(store)).toMatchObject({
      id: analysed.runId,
      horizonDays: 30,
      asOf: FIXTURE_AS_OF,
      dataMoved: false,
      settingsMoved: false,
    });
  });
});
