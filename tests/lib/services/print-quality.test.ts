import { describe, expect, it } from "vitest";
import { importSpansBySite } from "@/db/queries/import-spans";
import { DAY_MS, HOUR_MS } from "@/lib/kernel/units";
import { analyseFleet } from "@/lib/services/analyse-fleet";
import { printQuality } from "@/lib/services/print-quality";
import { showSite } from "@/lib/services/show-site";
import { showSites } from "@/lib/services/show-sites";
import { takeBackImport } from "@/lib/services/take-back-import";
import { importTexts, makeContext, smallFiles } from "@/tests/fixtures/import-folder";

const FROM = Date.UTC(2025, 0, 1);
const places = { "sites.csv": smallFiles["sites.csv"], "detectors.csv": smallFiles["detectors.csv"] };

/** Hourly readings of the two detectors of site S1 from day to day, their times moved by `minutes`. */
function hourlyFile({ from, until, minutes = 0 }: { from: number; until: number; minutes?: number }): string {
  const lines = ["detector_id,read_at,signal_pct"];
  for (const [place, detectorId] of ["D1", "D2"].entries()) {
    for (let hour = from * 24; hour < until * 24; hour += 1) {
      const at = new Date(FROM + hour * HOUR_MS + minutes * 60_000).toISOString();
      // Any values that differ from hour to hour, the same whichever file they come in.
      const signal = 95 + ((hour * 7919 + place * 31) % 97) / 25;
      lines.push(`${detectorId},${at},${signal.toFixed(2)}`);
    }
  }
  return `${lines.join("\n")}\n`;
}

describe("the quality of stored records", () => {
  it("knows of each import and site the first and last reading, and how many are contested", async () => {
    const context = makeContext();
    await importTexts(context, { ...places, "readings.csv": hourlyFile({ from: 0, until: 10 }) });
    const second = await importTexts(context, { "readings.csv": hourlyFile({ from: 8, until: 20, minutes: 60 }) });
    const spans = (await importSpansBySite(context.store)).get("S1") ?? [];
    expect(
      spans.map(({ importId, firstAt, lastAt }) => [importId, (firstAt - FROM) / HOUR_MS, (lastAt - FROM) / HOUR_MS]),
    ).toEqual([
      [1, 0, 239],
      [2, 193, 480],
    ]);
    // Hours 193 to 239 of two detectors, in which the second file says what belongs an hour earlier.
    expect(spans.map(({ contested }) => contested)).toEqual([94, 94]);
    await takeBackImport(context, { importId: second.id });
    const left = (await importSpansBySite(context.store)).get("S1") ?? [];
    expect(left.map(({ importId }) => importId)).toEqual([1]);
  });

  it("lets a few detectors stand for their site where there are too many claims", async () => {
    const context = makeContext();
    await importTexts(context, { ...places, "readings.csv": hourlyFile({ from: 0, until: 10 }) });
    const few = await importSpansBySite(context.store, { mostClaims: 1 });
    expect(few).toEqual(await importSpansBySite(context.store));
  });

  it("finds an hourly file that was shifted by an hour as a whole where it overlaps the one before", async () => {
    const context = makeContext();
    await importTexts(context, { ...places, "readings.csv": hourlyFile({ from: 0, until: 60 }) });
    await importTexts(context, { "readings.csv": hourlyFile({ from: 55, until: 100, minutes: 60 }) });
    const answer = JSON.parse(await printQuality(context, { siteId: "S1", format: "json" }));
    const clock = answer.sites[0].checks.find(({ kind }: { kind: string }) => kind === "clock");
    expect(clock.outcome).toBe("found");
    expect(clock.notes[0].sentence).toMatch(/^Import 2 says .* what was stored 60 minutes earlier/);
    const text = await printQuality(context, { siteId: "S1", format: "text" });
    expect(text).toContain("! Import 2 says");
  });

  it("finds none in a second file that repeats or corrects the first", async () => {
    const context = makeContext();
    await importTexts(context, { ...places, "readings.csv": hourlyFile({ from: 0, until: 60 }) });
    const corrected = hourlyFile({ from: 55, until: 100 }).replaceAll(/,9(\d\.\d\d)\n/g, ",8$1\n");
    await importTexts(context, { "readings.csv": corrected });
    const answer = JSON.parse(await printQuality(context, { siteId: "S1", format: "json" }));
    expect(answer.sites[0].checks.find(({ kind }: { kind: string }) => kind === "clock").notes).toEqual([]);
  });

  it("stands with the stored analysis: at the site, in the list of sites and at the detector", async () => {
    const context = makeContext();
    await importTexts(context, { ...places, "readings.csv": hourlyFile({ from: 0, until: 60 }) });
    await analyseFleet(context, { asOf: new Date(FROM + 80 * DAY_MS).toISOString().slice(0, 10) });
    const site = await showSite(context, { siteId: "S1" });
    if (site.state !== "ready") throw new Error("no result");
    expect(site.result.quality?.checks).toHaveLength(7);
    expect(site.result.quality?.serious).toBeGreaterThan(0);
    const sites = await showSites(context, { sort: "name", direction: "asc", page: 1 });
    if (sites.state !== "ready") throw new Error("no result");
    expect(sites.lines.find(({ siteId }) => siteId === "S1")?.dataTrouble).toEqual(["silent for 21 days"]);
  });

  it("is refused for a site nobody knows", async () => {
    const context = makeContext();
    await importTexts(context, { ...places, "readings.csv": hourlyFile({ from: 0, until: 2 }) });
    await expect(printQuality(context, { siteId: "S9", format: "text" })).rejects.toMatchObject({ code: "not_found" });
  });
});
