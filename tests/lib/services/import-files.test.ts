import { mkdtempSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { dataVersion } from "@/db/queries/data-version";
import { importFiles } from "@/lib/services/import-files";
import { showImport } from "@/lib/services/show-import";
import { canonicalDump } from "../../fixtures/canonical-dump";
import { importTexts, makeContext, refusedIn, smallFiles, someOf } from "../../fixtures/import-folder";

const base = someOf("sites.csv", "detectors.csv");
const HEADER = "detector_id,read_at,signal_pct,compensation_pct,temperature_c\n";
const GOOD = "D1,2025-03-01T00:00:00Z,97,,\n";

/** Imports one bad readings row between two good ones, and gives what was said of it. */
async function judge(row: string | Uint8Array) {
  const context = makeContext();
  await importTexts(context, base);
  const after = "D1,2025-03-01T06:00:00Z,96,,\n";
  const file = Buffer.concat([Buffer.from(HEADER + GOOD), Buffer.from(row), Buffer.from(`\n${after}`)]);
  const report = await importTexts(context, { "readings.csv": file });
  expect(report.files[0]).toMatchObject({ rows: 3, accepted: 2 });
  const [refused, ...others] = await refusedIn(context, report);
  expect(others).toEqual([]);
  return refused;
}

describe("a bad row", () => {
  it.each([
    ["D1,2025-03-01T01:00:00Z,400.5,,", "signal_pct", "400.5", "outside 0..400 %"],
    ["D1,2025-03-01T01:00:00Z,-1,,", "signal_pct", "-1", "outside 0..400 %"],
    ["D1,2025-03-01T01:00:00Z,90,100.1,", "compensation_pct", "100.1", "outside 0..100 %"],
    ["D1,2025-03-01T01:00:00Z,90,-0.1,", "compensation_pct", "-0.1", "outside 0..100 %"],
    ["D1,2025-03-01T01:00:00Z,ninety,,", "signal_pct", "ninety", "write digits with a decimal point"],
    ["D1,2025-03-01T01:00:00Z,,,", "signal_pct", "", "is missing; give a value"],
    ["D1,2025-03-30T03:30:00,90,,", "read_at", "2025-03-30T03:30:00", "did not exist in Europe/Helsinki"],
    ["D1,2025-10-26T03:30:00,90,,", "read_at", "2025-10-26T03:30:00", "happened twice in Europe/Helsinki"],
    ["D1,2026-07-01T00:06:00Z,90,,", "read_at", "2026-07-01T00:06:00Z", "lies after the moment of this import"],
    [
      "D1,2023-12-30T21:59:59Z,90,,",
      "read_at",
      "2023-12-30T21:59:59Z",
      "before the detector was installed on 2024-01-01",
    ],
    ["D7,2025-03-01T01:00:00Z,90,,", "detector_id", "D7", "import the detectors file that has it, or correct the id"],
    ["D1,2025-03-01T01:00:00Z,90", "compensation_pct", "D1,2025-03-01T01:00:00Z,90", "ends after 3 of 5 cells"],
    ["D1,2025-03-01T01:00:00Z,90,,,7", null, "D1,2025-03-01T01:00:00Z,90,,,7", "has 6 cells where the header has 5"],
    ['D1,"2025-03-01T01:00:00Z,90,,', "read_at", '"2025-03-01T01:00:00Z', "not closed"],
    ["D1\u0000,2025-03-01T01:00:00Z,90,,", "detector_id", "D1\\u0000", "control character such as NUL; remove it"],
  ])(
    "%j is kept with its column, value and reason, and the rows around it go in",
    async (row, column, value, reason) => {
      expect(await judge(row)).toEqual({ line: 3, column, value, reason: expect.stringContaining(reason) });
    },
  );

  it("with a cell of 1 MB is refused, naming the cell and showing its beginning", async () => {
    const refused = await judge(`D1,2025-03-01T01:00:00Z,${"9".repeat(1_000_000)},,`);
    expect(refused).toEqual({
      line: 3,
      column: "signal_pct",
      value: `${"9".repeat(200)}…`,
      reason: expect.stringContaining("longer than 2000 characters; shorten it"),
    });
  });

  it("of more than 4 MB without a line end is refused without being held in memory", async () => {
    expect(await judge("x".repeat(9_000_000))).toMatchObject({
      line: 3,
      reason: expect.stringContaining("longer than 4 MB"),
    });
  });

  it("that is not UTF-8 in a file that is UTF-8 elsewhere is refused, naming the cell", async () => {
    const context = makeContext();
    const note = "D1,2025-01-02T10:00:00Z,clean,Spüle entlüftet – gründlich geprüft\n";
    const bad = Buffer.concat([Buffer.from("D1,2025-01-03T10:00:00Z,clean,"), Buffer.from([0xe4, 0x0a])]);
    const file = Buffer.concat([Buffer.from(`detector_id,done_at,task,note\n${note}`), bad]);
    const report = await importTexts(context, { ...base, "work.csv": file });
    expect(report.files[2]).toMatchObject({ rows: 2, accepted: 1, refused: 1 });
    const shown = await showImport(context, { importId: report.id });
    expect(shown.files[2]?.rejects[0]).toMatchObject({
      line: 3,
      column: "note",
      reason: expect.stringContaining("save the file as UTF-8"),
    });
  });

  it("that ends before it begins, or has a cause or verdict that its condition cannot have, is refused", async () => {
    const context = makeContext();
    const report = await importTexts(context, {
      ...base,
      "events.csv": `detector_id,began_at,ended_at,condition,cause,verdict
D1,2025-02-01T10:00:00Z,2025-02-01T09:59:59Z,fault,low_signal,
D1,2025-02-02T10:00:00Z,,test,low_signal,
D1,2025-02-03T10:00:00Z,,fault,low_signal,genuine
D1,2025-02-04T10:00:00Z,2027-01-01T00:00:00Z,fault,low_signal,
D1,2025-02-05T10:00:00Z,,smoke,,
D1,2025-02-06T10:00:00Z,,fault,,
`,
    });
    expect(report.files[2]).toMatchObject({ rows: 6, accepted: 1, refused: 5 });
    expect((await refusedIn(context, report, 2)).map(({ line, column }) => [line, column])).toEqual([
      [2, "ended_at"],
      [3, "cause"],
      [4, "verdict"],
      [5, "ended_at"],
      [6, "condition"],
    ]);
  });

  it("at the end of a file that was cut off is refused as such", async () => {
    const context = makeContext();
    const report = await importTexts(context, { ...base, "readings.csv": `${HEADER}${GOOD}D1,2025-03-01T0` });
    expect(report.files[2]).toMatchObject({ rows: 2, accepted: 1, refused: 1 });
    expect(await refusedIn(context, report, 2)).toEqual([
      {
        line: 3,
        column: "signal_pct",
        value: "D1,2025-03-01T0",
        reason: expect.stringContaining("the file ends in the middle of this row"),
      },
    ]);
  });

  it("is not one when only the last line end is missing, lines end as on other systems, or a byte mark leads", async () => {
    const context = makeContext();
    const text = `${HEADER}${GOOD}D1,2025-03-01T06:00:00Z,96,,`;
    const report = await importTexts(context, {
      ...base,
      "a.csv": `\ufeff${text.replaceAll("\n", "\r\n")}`,
      "b.csv": text.replaceAll("\n", "\r"),
    });
    expect(report.files.slice(2)).toMatchObject([
      { rows: 2, accepted: 2 },
      { rows: 2, duplicates: 2 },
    ]);
  });
});

describe("a file that cannot be read", () => {
  it.each([
    ["empty", "", "is empty; a file needs a header line"],
    ["of blank lines", "\n\n  \n", "is empty; a file needs a header line"],
    ["with a wrong header", "detector_id,read_at,signal\nD1,2025-01-01T00:00:00Z,9\n", "also needs signal_pct"],
    ["of something else", "apples,pears\n1,2\n", "has no header of one of the five files"],
    ["binary", Uint8Array.from({ length: 4_000 }, (_, index) => (index * 37) % 256), "is not text in UTF-8"],
    ["packed and cut off", gzipSync(HEADER + GOOD).subarray(0, 60), "rows are missing"],
    ["of a broken workbook", Buffer.from("PK\u0003\u0004 and so on"), "workbook"],
    ["of one endless line", "x".repeat(6_000_000), "longer than 4 MB"],
  ])(
    "(%s) changes nothing, is reported with what to do, and does not hold up the others",
    async (_, content, reason) => {
      const context = makeContext();
      const report = await importTexts(context, { "bad.csv": content, ...base });
      expect(report.files[0]).toMatchObject({ name: "bad.csv", kind: null, rows: 0, accepted: 0 });
      expect(report.files[0]?.failure?.reason).toContain(reason);
      expect(report.files.slice(1)).toMatchObject([{ accepted: 2 }, { accepted: 3 }]);
    },
  );

  it("because it is not there is named, and an import without a file is refused", async () => {
    const context = makeContext();
    const report = await importFiles(context, { files: [{ name: "no.csv", path: "/nowhere/no.csv" }] });
    expect(report.files[0]?.failure).toEqual({
      line: null,
      column: null,
      value: null,
      reason: "does not exist; check the path",
    });
    expect(await dataVersion(context.store)).toBe(0);
    await expect(importFiles(context, { files: [] })).rejects.toThrow("name at least one CSV file");
  });

  it("because its name leads to no file on disk is named, and the files beside it go in", async () => {
    const context = makeContext();
    await importTexts(context, base);
    const folder = mkdtempSync(join(tmpdir(), "rafterline-import-"));
    const good = join(folder, "good.csv");
    writeFileSync(good, HEADER + GOOD);
    const loop = join(folder, "loop.csv");
    symlinkSync(loop, loop);
    // A pipe gives its bytes once, and a file is read twice; so it must be refused, not taken for an empty one.
    const paths = ["/dev/null", loop, join(folder, "x".repeat(300)), join(good, "x.csv"), good];
    const report = await importFiles(context, { files: paths.map((path) => ({ name: path, path })) });
    expect(report.files.map((file) => file.failure?.reason ?? file.accepted)).toEqual([
      "is not a file on disk but a pipe or device; save it as a file and name that",
      "is a link that leads back to itself; name the file it should lead to",
      "has a longer name than this system allows; check the path",
      "does not exist; check the path",
      1,
    ]);
  });
});

describe("an import", () => {
  it("twice is the same as once, and the data version tells that nothing changed", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    const once = await canonicalDump(context.store);
    expect(await dataVersion(context.store)).toBe(1);
    const again = await importTexts(context, smallFiles);
    expect(again.files.map(({ rows, accepted, duplicates }) => [rows, accepted, duplicates])).toEqual([
      [2, 0, 2],
      [3, 0, 3],
      [6, 0, 6],
      [3, 0, 3],
      [2, 0, 2],
    ]);
    expect(await canonicalDump(context.store)).toEqual(once);
    expect(await dataVersion(context.store)).toBe(1);
  });

  it("keeps every value of every row as it was sent", async () => {
    const context = makeContext();
    await importTexts(context, smallFiles);
    const dump = await canonicalDump(context.store);
    expect(dump.sites[1]).toMatchObject({ siteId: "S2", name: 'Depot, "North"', timeZone: "Europe/Lisbon" });
    expect(dump.work[0]).toEqual({
      detectorId: "D1",
      doneAt: Date.parse("2025-02-02T07:30:00Z"), // 09:30 wall time in Helsinki in winter
      task: "realign",
      result: null,
      signalBeforePct: 61.5,
      signalAfterPct: 100,
      durationMin: 45,
      reactive: true,
      told: null,
      interim: null,
      note: "Bracket, loose",
    });
    expect(dump.events[1]).toMatchObject({
      detectorId: "D2",
      beganAt: Date.parse("2025-02-03T08:00:00Z"),
      verdict: "unwanted",
    });
    expect(dump.readings).toMatchObject([
      {
        detectorId: "D1",
        series: { signalPct: [99.5, 99.4, 98], compensationPct: [1, Number.NaN, 1.5], temperatureC: [-3.5, -2, 12.25] },
      },
      { detectorId: "D2", series: { signalPct: [98.25] } },
      { detectorId: "D3", series: { signalPct: [97, 96.875] } },
    ]);
  });

  it("takes an ambiguous wall time as the file is marked", async () => {
    const context = makeContext();
    await importTexts(context, base);
    const text = `${HEADER}D1,2025-10-26T03:30:00,90,,\n`;
    await importTexts(context, { "readings.csv": text }, { fold: "first" });
    await importTexts(context, { "readings.csv": text }, { fold: "second" });
    const dump = await canonicalDump(context.store);
    // Helsinki went from UTC+3 to UTC+2 at 2025-10-26T01:00:00Z.
    expect(dump.readings).toMatchObject([
      { series: { readAt: [Date.parse("2025-10-26T00:30:00Z"), Date.parse("2025-10-26T01:30:00Z")] } },
    ]);
  });

  it("needs the right to import", async () => {
    const context = { ...makeContext(), permissions: new Set(["see"] as const) };
    await expect(importTexts(context, smallFiles)).rejects.toMatchObject({ code: "forbidden" });
  });
});
