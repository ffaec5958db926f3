import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createApiKey } from "@/lib/services/api-keys";
import { retireMapping, saveMapping } from "@/lib/services/mappings";
import { importTexts } from "../../fixtures/import-folder";
import { panelDetectors, panelFile, panelMapping } from "../../fixtures/panel-file";
import { countReadings, openTestDoor, send, type TestDoor } from "./api-door";
import { documentedBody } from "./documented";

let at: TestDoor;
beforeEach(async () => {
  at = await openTestDoor();
  await importTexts(at.owner, { "detectors.csv": panelDetectors["detectors.csv"] });
});
afterEach(() => at.close());

const body = Uint8Array.from(panelFile);

async function sendPanel(query: string, kind = "events") {
  const response = await send(at, { kind, query, body });
  return { status: response.status, body: await documentedBody(response, kind) };
}

describe("a foreign table sent with a key", () => {
  it("is read by the saved mapping the sender names, or by the one made for just its columns", async () => {
    await saveMapping(at.owner, { name: "Panel North", mapping: panelMapping });
    const named = await sendPanel("?mapping=Panel%20North@1");
    // As the same file does on the page: a log-in is left out on purpose, one word is unknown.
    expect(named).toMatchObject({ status: 200, body: { rows: 6, accepted: 4, leftOut: 1, refused: 1, moreErrors: 0 } });
    expect(named.body.errors).toEqual([
      { line: 9, column: "phase (from Text)", value: "Batterie Uhr", reason: expect.stringContaining("does not know") },
    ]);
    const unnamed = await sendPanel("");
    expect(unnamed).toMatchObject({ status: 200, body: { accepted: 0, duplicates: 4 } });
    expect(unnamed.body.note).toContain("Panel North");
    expect(await sendPanel("?mapping=Panel%20North@2")).toMatchObject({ status: 404 });
    expect(await sendPanel("?mapping=Panel%20North", "work")).toMatchObject({ status: 400 });
  });

  it("that no mapping knows is refused as a whole", async () => {
    await saveMapping(at.owner, { name: "Panel North", mapping: panelMapping });
    await retireMapping(at.owner, { name: "Panel North" });
    const { status, body: problem } = await sendPanel("");
    expect({ status, type: problem.type }).toEqual({ status: 422, type: "/api/v1/problems/nothing-usable" });
    expect(problem.errors).toHaveLength(1);
  });

  it("is not read by a guess where its dates can be read two ways, but by the sender's word", async () => {
    const two = { body: "detector_id,read_at,signal_pct\nD1,03/04/2025 10:00,97\n" };
    const open = await send(at, two);
    expect(open.status).toBe(422);
    expect((await documentedBody(open)).detail).toMatch(/can be read in several ways/);
    expect(countReadings(at)).toBe(0);
    const said = await send(at, { ...two, query: "?dates=day_first" });
    expect(await documentedBody(said)).toMatchObject({ rows: 1, accepted: 1 });
    const stored = at.owner.store.sqlite.prepare("SELECT first_at FROM reading_chunks").pluck().get();
    expect(stored).toBe(Date.UTC(2025, 3, 3, 7)); // 10:00 in Helsinki, in summer time
  });
});

describe("a key of a portfolio", () => {
  it("writes to the sites that belong to it when it is used, and to no other", async () => {
    const site = (id: string, portfolio: string) => `${id},Hall ${id},60,24,Europe/Helsinki,${portfolio}\n`;
    const detector = (id: string, on: string) => `${id},${on},Bay,reflective,60,9,90,2024-01-01,35,ladder\n`;
    const heads = {
      sites: "site_id,name,latitude,longitude,time_zone,portfolio\n",
      detectors: panelDetectors["detectors.csv"].split("\n")[0],
    };
    await importTexts(at.owner, {
      "sites.csv": heads.sites + site("N1", "North") + site("E1", "East"),
      "detectors.csv": `${heads.detectors}\n${detector("N1-1", "N1")}${detector("E1-1", "E1")}`,
    });
    const { secret } = await createApiKey(at.owner, { name: "Office", scope: "portfolio", scopeId: "North" });
    const rows = ["N1-1", "E1-1", "N2-1", "D1"].map((id) => `${id},2025-01-01T00:00:00Z,99\n`).join("");
    const sent = { secret, body: `detector_id,read_at,signal_pct\n${rows}` };
    expect(await documentedBody(await send(at, sent))).toMatchObject({ rows: 4, accepted: 1, refused: 3 });
    await importTexts(at.owner, {
      "sites.csv": heads.sites + site("N2", "North"),
      "detectors.csv": `${heads.detectors}\n${detector("N2-1", "N2")}`,
    });
    // What was refused does not come by itself; sent again it goes in.
    expect(countReadings(at)).toBe(1);
    expect(await documentedBody(await send(at, sent))).toMatchObject({ accepted: 1, duplicates: 1, refused: 2 });
  });
});
