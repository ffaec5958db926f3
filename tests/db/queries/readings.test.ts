import { beforeAll, describe, expect, it } from "vitest";
import { eachSeries, latestReadingAtBySite, readDays, readReadings } from "@/db/queries/readings";
import type { Context } from "@/lib/services/context";
import { importTexts, makeContext, someOf } from "../../fixtures/import-folder";

const at = (iso: string) => Date.parse(`${iso}Z`);
let context: Context;

beforeAll(async () => {
  context = makeContext();
  await importTexts(context, {
    ...someOf("sites.csv", "detectors.csv"),
    "readings.csv": `detector_id,read_at,signal_pct,compensation_pct,temperature_c
D3,2025-04-01T00:00:00Z,95.125,3,
D1,2025-03-31T23:00:00Z,90,2,10
D1,2025-03-31T01:00:00Z,92,1,
D1,2025-03-31T13:00:00Z,99.25,,11.06
D1,2025-03-31T17:00:00Z,91,,
D1,2025-04-01T00:00:00Z,97.123456789,,
`,
  });
});

describe("stored readings", () => {
  it("come by time within [from, until), across the quarters they are kept in", async () => {
    const { store } = context;
    const all = await readReadings(store, { detectorId: "D1", until: at("2026-01-01T00:00") });
    expect([...all.signalPct]).toEqual([92, 99.25, 91, 90, 97.123456789]);
    expect([...all.compensationPct]).toEqual([1, Number.NaN, Number.NaN, 2, Number.NaN]);
    expect([...all.temperatureC]).toEqual([Number.NaN, 11.06, Number.NaN, 10, Number.NaN]);
    const part = await readReadings(store, {
      detectorId: "D1",
      from: at("2025-03-31T13:00"),
      until: at("2025-04-01T00:00"),
    });
    expect([...part.signalPct]).toEqual([99.25, 91, 90]);
    const none = await readReadings(store, { detectorId: "D1", from: at("2025-04-02T00:00"), until: Infinity });
    expect(none.readAt).toHaveLength(0);
    expect((await readReadings(store, { detectorId: "D2", until: Infinity })).readAt).toHaveLength(0);
    expect((await readReadings(store, { detectorId: "unknown", until: Infinity })).readAt).toHaveLength(0);
  });

  it("come detector by detector in the order of their ids, without what came later than asked", async () => {
    const seen: [string, number][] = [];
    for await (const { detectorId, series } of eachSeries(context.store, { until: Infinity })) {
      seen.push([detectorId, series.readAt.length]);
    }
    expect(seen).toEqual([
      ["D1", 5],
      ["D3", 1],
    ]);
    const early: string[] = [];
    for await (const { detectorId } of eachSeries(context.store, { until: at("2025-04-01T00:00") }))
      early.push(detectorId);
    expect(early).toEqual(["D1"]);
  });

  it("are drawn together by UTC day: median, range, last compensation, mean temperature", async () => {
    const days = await readDays(context.store, { detectorId: "D1" });
    expect([...days.startAt]).toEqual([at("2025-03-31T00:00"), at("2025-04-01T00:00")]);
    expect([...days.medianSignalPct]).toEqual([91.5, 97.12]); // (91 + 92) / 2; to hundredths
    expect([...days.minSignalPct]).toEqual([90, 97.123456789]);
    expect([...days.maxSignalPct]).toEqual([99.25, 97.123456789]);
    expect([...days.compensationPct]).toEqual([2, Number.NaN]);
    expect([...days.temperatureC]).toEqual([10.5, Number.NaN]); // (11.06 + 10) / 2 to tenths
    expect((await readDays(context.store, { detectorId: "D2" })).startAt).toHaveLength(0);
  });

  it("give each site its latest moment; a site without readings is absent", async () => {
    expect(await latestReadingAtBySite(context.store)).toEqual(
      new Map([
        ["S1", at("2025-04-01T00:00")],
        ["S2", at("2025-04-01T00:00")],
      ]),
    );
    expect(await latestReadingAtBySite(makeContext().store)).toEqual(new Map());
  });
});
