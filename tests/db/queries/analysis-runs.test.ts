import { beforeEach, describe, expect, it } from "vitest";
import type { Store } from "@/db/client";
import { latestRun, type RunDetectorRow, saveRun } from "@/db/queries/analysis-runs";
import { findRunDetector, findRunSite, listRunDetectors, listRunSites } from "@/db/queries/run-results";
import { readSettings, saveSettingValues } from "@/db/queries/settings";
import { importTexts, makeContext, someOf } from "../../fixtures/import-folder";

let store: Store;

const head = {
  asOf: 10,
  horizonDays: 90,
  settingsVersion: 2,
  dataVersion: 3,
  formatVersion: 1,
  createdAt: 11,
  fleet: { sites: 2 },
};
const site = {
  siteId: "S1",
  expectedCost: 12.5,
  netBenefit: -3,
  faults12m: 4,
  falseAlarms12m: 1,
  testsOverdue: 2,
  payload: { a: [1] },
};
const row = (detectorId: string, rank: number, rest: Partial<RunDetectorRow> = {}): RunDetectorRow => ({
  detectorId,
  rank,
  netBenefit: 100 - rank,
  expectedCost: 50,
  faults12m: 0,
  alarms12m: 0,
  latestSignalPct: null,
  testOverdueDays: null,
  findingKinds: [],
  payload: { rank },
  ...rest,
});
const detectors = [
  row("D1", 3, { findingKinds: ["rising_faults", "signal_drift"], latestSignalPct: 80 }),
  row("D2", 1, { findingKinds: ["signal_drift"] }),
  row("D3", 2, { latestSignalPct: 60.5, faults12m: 7 }),
];
const ids = (found: { rows: { detectorId: string }[] }) => found.rows.map((one) => one.detectorId);

beforeEach(async () => {
  const context = makeContext();
  await importTexts(context, someOf("sites.csv", "detectors.csv"));
  store = context.store;
});

describe("a stored run", () => {
  it("comes back as it was saved, with its sites and detectors", async () => {
    expect(await latestRun(store)).toBeNull();
    const runId = await saveRun(store, { ...head, sites: [site], detectors });
    expect(await latestRun(store)).toEqual({ id: runId, ...head });
    expect(await listRunSites(store, { runId })).toEqual([{ ...site, name: "Harbour hall" }]);
    expect(await findRunSite(store, { runId, siteId: "S2" })).toBeNull();
    expect(await findRunDetector(store, { runId, detectorId: "D1" })).toEqual({
      ...detectors[0],
      siteId: "S1",
      siteName: "Harbour hall",
      label: "North bay",
      access: "scissor_lift",
      form: "reflective",
      heightM: 9,
      pathLengthM: 60,
      timeZone: "Europe/Helsinki",
    });
  });

  it("is listed filtered, sorted with absent values last, and in pages", async () => {
    const runId = await saveRun(store, { ...head, sites: [], detectors });
    expect(ids(await listRunDetectors(store, { runId }))).toEqual(["D2", "D3", "D1"]);
    expect(ids(await listRunDetectors(store, { runId, sort: "latestSignalPct" }))).toEqual(["D3", "D1", "D2"]);
    expect(ids(await listRunDetectors(store, { runId, sort: "latestSignalPct", direction: "desc" }))).toEqual([
      "D1",
      "D3",
      "D2",
    ]);
    expect(ids(await listRunDetectors(store, { runId, sort: "expectedCost" }))).toEqual(["D1", "D2", "D3"]);
    expect(ids(await listRunDetectors(store, { runId, kind: "signal_drift" }))).toEqual(["D2", "D1"]);
    expect(ids(await listRunDetectors(store, { runId, kind: "drift" }))).toEqual([]);
    expect(ids(await listRunDetectors(store, { runId, siteId: "S2" }))).toEqual(["D3"]);
    expect(ids(await listRunDetectors(store, { runId, access: "ladder" }))).toEqual(["D2"]);
    expect(ids(await listRunDetectors(store, { runId, text: "harbour" }))).toEqual(["D2", "D1"]);
    expect(ids(await listRunDetectors(store, { runId, text: "%" }))).toEqual([]);
    expect(await listRunDetectors(store, { runId, limit: 1, offset: 1 })).toMatchObject({
      total: 3,
      rows: [{ detectorId: "D3" }],
    });
  });

  it("is kept for three runs, and not at all when it names a detector that is not stored", async () => {
    for (let run = 1; run <= 5; run += 1) await saveRun(store, { ...head, createdAt: run, sites: [site], detectors });
    expect(store.sqlite.prepare("SELECT created_at FROM analysis_runs").pluck().all()).toEqual([3, 4, 5]);
    expect(store.sqlite.prepare("SELECT count(*) FROM run_detectors").pluck().get()).toBe(9);
    await expect(saveRun(store, { ...head, sites: [], detectors: [row("D9", 1)] })).rejects.toThrow(RangeError);
    expect((await latestRun(store))?.createdAt).toBe(5);
  });
});

describe("saved settings", () => {
  it("are the ones saved last, each save a new version", async () => {
    expect(await readSettings(store)).toBeNull();
    expect(await saveSettingValues(store, { values: { a: 1 }, at: 5 })).toBe(1);
    expect(await saveSettingValues(store, { values: { a: 2 }, at: 6 })).toBe(2);
    expect(await readSettings(store)).toEqual({ version: 2, savedAt: 6, values: { a: 2 } });
  });
});
