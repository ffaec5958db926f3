import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type RunningServer, run, startServer } from "./server";

let server: RunningServer;
let secret = "";
let detectorId = "";
beforeAll(async () => {
  server = await startServer({ portfolio: "small" });
  const files = readFileSync(`${server.folder}/files/detectors.csv`, "utf8");
  const [header = "", first = ""] = files.split(/\r?\n/);
  const cell = (name: string) => first.split(",")[header.split(",").indexOf(name)] ?? "";
  detectorId = cell("detector_id");
  const key = ["keys", "add", "--site", cell("site_id"), "--name", "Gateway"];
  secret = run(["app/_cli/main.ts", "--db", server.store, ...key]).trim();
});
afterAll(() => server?.stop());

function post(body: BodyInit, path = "readings"): Promise<Response> {
  const init: RequestInit & { duplex: "half" } = {
    method: "POST",
    headers: { authorization: `Bearer ${secret}`, "content-type": "text/csv" },
    body,
    duplex: "half",
  };
  return fetch(`${server.url}/api/v1/${path}`, init);
}

describe("sending to the built server", () => {
  it("takes in every row of a body near the limit, with a length and in chunks", async () => {
    const lines = 90_000;
    const row = (index: number) => {
      const at = new Date(Date.UTC(2025, 0, 1) + index * 60_000).toISOString();
      // The note is no column of ours: it makes the body long.
      return `${detectorId},${at},97.5,${"x".repeat(140)}\n`;
    };
    const body = `detector_id,read_at,signal_pct,note\n${Array.from({ length: lines }, (_, index) => row(index)).join("")}`;
    expect(body.length).toBeGreaterThan(15_000_000);
    for (const form of [body, new Blob([body]).stream()]) {
      const answer = await post(form);
      expect(answer.status).toBe(200);
      const { rows, accepted, duplicates, conflicts } = await answer.json();
      expect({ rows, all: accepted + duplicates + conflicts }).toEqual({ rows: lines, all: lines });
    }
  });

  it("serves its document, and answers with problems", async () => {
    const document = await fetch(`${server.url}/api/v1/openapi.json`);
    expect(await document.json()).toMatchObject({ openapi: "3.1.0" });
    const problem = async (response: Promise<Response>) => {
      const { status, headers } = await response;
      return [status, headers.get("content-type")];
    };
    const json = "application/problem+json";
    expect(await problem(post("x".repeat(20_000_001)))).toEqual([413, json]);
    expect(await problem(post("", "sites"))).toEqual([404, json]);
    expect(await problem(fetch(`${server.url}/api/v1/readings`))).toEqual([405, json]);
    expect(await problem(fetch(`${server.url}/api/v2/anything/else`))).toEqual([404, json]);
    expect(await problem(fetch(`${server.url}/api/v1/work`, { method: "POST", body: "x" }))).toEqual([401, json]);
    const page = await fetch(`${server.url}/api/v1/problems/too-large`);
    expect(await page.text()).toContain("HTTP status 413");
  });
});
