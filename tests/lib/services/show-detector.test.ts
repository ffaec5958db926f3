import { beforeAll, describe, expect, it } from "vitest";
import { detectors as detectorTable, events as eventTable, work as workTable } from "@/db/schema/index";
import { DAY_MS } from "@/lib/kernel/units";
import { type Context, openContext } from "@/lib/services/context";
import { showDetector } from "@/lib/services/show-detector";
import { FIXTURE_AS_OF } from "@/tests/fixtures/analysis-result";
import { makeAnalysisStore } from "@/tests/fixtures/analysis-store";

const asOf = FIXTURE_AS_OF;
let context: Context;
let detectorId = "";
beforeAll(async () => {
  const { store, result } = await makeAnalysisStore();
  context = { ...openContext(":memory:", { now: asOf + 10 * DAY_MS }), store };
  const drifting = result.detectors.find(({ findings }) => findings.some(({ kind }) => kind === "signal_drift"));
  detectorId = drifting?.detectorId ?? "";
  const key =
    store.db
      .select()
      .from(detectorTable)
      .all()
      .find((row) => row.detectorId === detectorId)?.key ?? 0;
  const fault = { detectorKey: key, condition: "fault", endedAt: null } as const;
  store.db
    .insert(eventTable)
    .values([
      { ...fault, beganAt: asOf - 900 * DAY_MS },
      { ...fault, beganAt: asOf - 30 * DAY_MS },
      { ...fault, beganAt: asOf + DAY_MS },
    ])
    .run();
  store.db
    .insert(workTable)
    .values({ detectorKey: key, doneAt: asOf - 20 * DAY_MS, task: "clean" })
    .run();
});

describe("the page of one detector", () => {
  it("holds its findings, its visit and its whole record, latest first", async () => {
    const view = await showDetector(context, { detectorId });
    expect(view.row?.result.findings.map(({ kind }) => kind)).toContain("signal_drift");
    expect(view.events.map(({ beganAt }) => beganAt)).toEqual([asOf + DAY_MS, asOf - 30 * DAY_MS, asOf - 900 * DAY_MS]);
    expect(view.falseDiscoveryLimit).toBe(0.05);
  });

  it("draws on the timeline nothing after the analysis but the forecast", async () => {
    const { timeline } = await showDetector(context, { detectorId, span: "1y" });
    expect(timeline.events.map(({ beganAt }) => beganAt)).toEqual([asOf - 30 * DAY_MS]);
    expect(timeline.work.map(({ task }) => task)).toEqual(["clean"]);
    expect(timeline.toAt).toBe(asOf + 90 * DAY_MS);
    expect(timeline.forecast.length).toBeGreaterThan(0);
    expect(timeline.alarmSignalPct).toBe(65);
  });

  it("reaches back to the first record when all of it is asked for", async () => {
    const { timeline } = await showDetector(context, { detectorId, span: "all" });
    expect(timeline.fromAt).toBe(asOf - 900 * DAY_MS);
    expect(timeline.events).toHaveLength(2);
  });

  it("shows a detector that no analysis knows yet, with its record", async () => {
    const { store, detectors } = await makeAnalysisStore({ siteCount: 1, perSite: 1 });
    store.sqlite.exec("delete from analysis_runs");
    const view = await showDetector({ ...context, store }, { detectorId: detectors[0]!.detectorId });
    expect(view).toMatchObject({ run: null, row: null });
  });

  it("an unknown id is not found, and a caller without the right sees nothing", async () => {
    await expect(showDetector(context, { detectorId: "nothing" })).rejects.toMatchObject({ code: "not_found" });
    await expect(showDetector({ ...context, permissions: new Set() }, { detectorId })).rejects.toMatchObject({
      code: "forbidden",
    });
  });
});
