import { describe, expect, it } from "vitest";
import { showImport } from "@/lib/services/show-import";
import { canonicalDump } from "../../fixtures/canonical-dump";
import { importTexts, makeContext, smallFiles } from "../../fixtures/import-folder";

const changed = {
  "detectors.csv": smallFiles["detectors.csv"].replace("North bay,reflective,60", "North bay,reflective,61"),
  "readings.csv": smallFiles["readings.csv"].replace("99.5,1,-3.5", "99.25,1,-3.5").replace("97,2,11", "97,,11"),
  "events.csv": smallFiles["events.csv"].replace("fire,,unwanted", "fire,,genuine"),
};

describe("rows sent a second time", () => {
  it("are there already, also when every optional cell of theirs is empty", async () => {
    const context = makeContext();
    const files = {
      "sites.csv": "site_id,name,latitude,longitude,time_zone,portfolio,currency\nS1,Hall,60,25,UTC,,\n",
      "detectors.csv": smallFiles["detectors.csv"].split("\n").slice(0, 2).join("\n").concat("\n"),
      "events.csv": "detector_id,began_at,ended_at,condition,cause,verdict\nD1,2025-02-01T10:00:00Z,,fault,,\n",
      "work.csv":
        "detector_id,done_at,task,result,signal_before_pct,signal_after_pct,minutes,reactive,told,interim,note\n" +
        "D1,2025-02-02T09:30:00Z,clean,,,,,,,,\n",
    };
    await importTexts(context, files);
    const again = await importTexts(context, files);
    expect(again.files.map(({ kind, duplicates, conflicts }) => [kind, duplicates, conflicts])).toEqual([
      ["sites", 1, 0],
      ["detectors", 1, 0],
      ["events", 1, 0],
      ["work", 1, 0],
    ]);
    // Whether it was a call-out is not known, and must not count as 'no'.
    expect((await canonicalDump(context.store)).work).toMatchObject([{ reactive: null, durationMin: null }]);
  });
});

describe("rows whose key is stored with other values", () => {
  it("are listed with what stood and what was sent, and the stored rows stay", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    const before = await canonicalDump(context.store);
    const report = await importTexts(context, changed);
    expect(report.files.map(({ rows, duplicates, conflicts }) => [rows, duplicates, conflicts])).toEqual([
      [3, 2, 1],
      [6, 4, 2],
      [3, 2, 1],
    ]);
    expect(await canonicalDump(context.store)).toEqual(before);
    const { files } = await showImport(context, { importId: report.id });
    expect(files.flatMap((file) => file.differing)).toEqual([
      {
        line: 2,
        replaced: false,
        identity: { detector_id: "D1" },
        stored: { path_length_m: 60 },
        sent: { path_length_m: 61 },
      },
      {
        line: 2,
        replaced: false,
        identity: { detector_id: "D1", read_at: "2025-01-01T00:00:00.000Z" },
        stored: { signal_pct: 99.5 },
        sent: { signal_pct: 99.25 },
      },
      {
        line: 4,
        replaced: false,
        identity: { detector_id: "D3", read_at: "2025-01-01T00:00:00.000Z" },
        stored: { compensation_pct: 2 },
        sent: { compensation_pct: null },
      },
      {
        line: 3,
        replaced: false,
        identity: { detector_id: "D2", began_at: "2025-02-03T08:00:00.000Z", condition: "fire" },
        stored: { verdict: "unwanted" },
        sent: { verdict: "genuine" },
      },
    ]);
  });

  it("take the place of the stored ones when the import replaces, and are listed as replaced", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    const report = await importTexts(context, changed, { replaces: true });
    expect(report.files.map(({ accepted, replaced, conflicts }) => [accepted, replaced, conflicts])).toEqual([
      [1, 1, 0],
      [2, 2, 0],
      [1, 1, 0],
    ]);
    const other = makeContext();
    await importTexts(other, { ...smallFiles, ...changed });
    expect(await canonicalDump(context.store)).toEqual(await canonicalDump(other.store));
  });

  it("are found inside one file too: the first stands, or the last when the import replaces", async () => {
    const text = `${smallFiles["readings.csv"]}D2,2025-01-01T00:00:00Z,98.25,,\nD2,2025-01-01T00:00:00Z,90,,\n`;
    for (const [replaces, signal] of [
      [false, 98.25],
      [true, 90],
    ] as const) {
      const context = makeContext();
      const report = await importTexts(context, { ...smallFiles, "readings.csv": text }, { replaces });
      const readings = report.files.find((file) => file.kind === "readings");
      expect(readings).toMatchObject({
        rows: 8,
        duplicates: 1,
        accepted: replaces ? 7 : 6,
        conflicts: replaces ? 0 : 1,
      });
      expect((await canonicalDump(context.store)).readings[1]).toMatchObject({
        detectorId: "D2",
        series: { signalPct: [signal] },
      });
    }
  });
});
