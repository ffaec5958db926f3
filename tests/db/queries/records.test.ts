import { describe, expect, it } from "vitest";
import { openStore, type Store } from "@/db/client";
import { findDetector, listDetectors } from "@/db/queries/detectors";
import { latestEventAt, listEvents } from "@/db/queries/events";
import { addImport } from "@/db/queries/import-writes";
import { findSite, listSites } from "@/db/queries/sites";
import { latestWorkAt, listWork } from "@/db/queries/work";
import { rowWriter } from "@/db/row-writer";
import type { TableRow } from "@/lib/records/canonical-row";
import type { Detector } from "@/lib/records/detector";
import type { Event } from "@/lib/records/event";
import type { Site } from "@/lib/records/site";
import type { Work } from "@/lib/records/work";

// Every column filled, so that one the table forgets, or swaps with another, is missed here.
const site: Site = {
  siteId: "S-1",
  name: "Harbour hall",
  latitude: 60.1708,
  longitude: -24.9375,
  timeZone: "Europe/Helsinki",
  portfolio: "North",
  currency: "EUR",
  opens: "06:30",
  closes: "22:00",
  detectorsOnSystem: 418,
};
const detector: Detector = {
  detectorId: "D-1",
  siteId: "S-1",
  label: "Bay 4",
  form: "end_to_end",
  pathLengthM: 62.5,
  heightM: 11.25,
  bearingDeg: 271.5,
  installedOn: "2021-05-03",
  alarmThresholdPct: 35,
  access: "boom_lift",
  zone: "Z7",
  environment: "cold store",
  lastServiceOn: "2025-11-30",
};
const event: Event = {
  detectorId: "D-1",
  beganAt: 1_000,
  endedAt: 2_000,
  condition: "fault",
  cause: "low_signal",
  verdict: null,
};
const alarm: Event = {
  detectorId: "D-1",
  beganAt: 3_000,
  endedAt: null,
  condition: "fire",
  cause: null,
  verdict: "unwanted",
};
const work: Work = {
  detectorId: "D-1",
  doneAt: 5_000,
  task: "realign",
  result: "pass",
  signalBeforePct: 61.25,
  signalAfterPct: 100,
  durationMin: 42.5,
  reactive: false,
  told: "site manager",
  interim: "hourly patrol",
  note: "bracket tightened",
};

async function storeWith(rows: readonly TableRow[]): Promise<Store> {
  const store = openStore(":memory:");
  const importId = await addImport(store, { importedAt: 0, replaces: false });
  const writer = rowWriter(store);
  for (const row of rows) writer.claim(row, { importId, replaces: false });
  return store;
}

const full: readonly TableRow[] = [
  { kind: "sites", record: site },
  { kind: "detectors", record: detector },
  { kind: "events", record: alarm },
  { kind: "events", record: event },
  { kind: "work", record: work },
];

describe("the tables of records", () => {
  it("give back a full record of each kind as it was put in", async () => {
    const store = await storeWith(full);
    expect(await listSites(store)).toEqual([site]);
    expect(await findSite(store, "S-1")).toEqual(site);
    expect(await listDetectors(store)).toEqual([detector]);
    expect(await findDetector(store, "D-1")).toEqual(detector);
    expect(await listEvents(store, { until: 10_000 })).toEqual([event, alarm]);
    expect(await listWork(store, { until: 10_000 })).toEqual([work]);
  });

  it("give nothing from the moment asked for on, nothing of other detectors, and null for what is not there", async () => {
    const store = await storeWith(full);
    expect(await listEvents(store, { until: 3_000 })).toEqual([event]);
    expect(await listWork(store, { until: 5_000 })).toEqual([]);
    expect(await listEvents(store, { until: 10_000, detectorId: "D-2" })).toEqual([]);
    expect(await listDetectors(store, { siteId: "S-2" })).toEqual([]);
    expect([await findSite(store, "S-2"), await findDetector(store, "D-2")]).toEqual([null, null]);
  });

  it("know the moment of the latest event and work, and that there is none", async () => {
    const store = await storeWith(full);
    expect(await latestEventAt(store)).toBe(alarm.beganAt);
    expect(await latestWorkAt(store)).toBe(5_000);
    const empty = await storeWith([]);
    expect([await latestEventAt(empty), await latestWorkAt(empty)]).toEqual([null, null]);
  });

  it("come sorted by id, then by time", async () => {
    const second: Detector = { ...detector, detectorId: "D-0" };
    const store = await storeWith([
      ...full,
      { kind: "detectors", record: second },
      { kind: "events", record: { ...event, detectorId: "D-0", beganAt: 9_000, endedAt: null } },
    ]);
    expect((await listDetectors(store)).map((one) => one.detectorId)).toEqual(["D-0", "D-1"]);
    expect((await listEvents(store, { until: 10_000 })).map((one) => [one.detectorId, one.beganAt])).toEqual([
      ["D-0", 9_000],
      ["D-1", 1_000],
      ["D-1", 3_000],
    ]);
  });
});
