import { execFileSync, spawn } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { join } from "node:path";
import { Readable } from "node:stream";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { nothingHere, showDocument, showProblem, wrongMethod } from "@/app/_server/api/door";
import { sendRecords } from "@/app/_server/api/send-records";
import { exampleRows } from "@/lib/report/api/examples";
import { apiLimits } from "@/lib/report/api/limits";
import { problems } from "@/lib/report/api/problems";
import { openTestDoor, send, type TestDoor } from "./api-door";
import { schemaErrors, servedDocument } from "./documented";

const page = readFileSync(fileURLToPath(new URL("../../../docs/api.md", import.meta.url)), "utf8");
const examples = [...page.matchAll(/```sh\n([\s\S]*?)```\n\n```json\n([\s\S]*?)```/g)].map((match) => ({
  command: match[1] ?? "",
  answer: JSON.parse(match[2] ?? "null"),
}));

let at: TestDoor;
let server: Server;
let address = "";
beforeAll(async () => {
  at = await openTestDoor();
  server = createServer((incoming, outgoing) => {
    const kind = incoming.url?.split(/[/?]/)[3] ?? "";
    const init: RequestInit & { duplex: "half" } = {
      method: "POST",
      headers: Object.entries(incoming.headers).map(([name, value]): [string, string] => [name, String(value)]),
      body: new ReadableStream<Uint8Array<ArrayBuffer>>({
        async start(controller) {
          for await (const piece of Readable.from(incoming)) controller.enqueue(Uint8Array.from(piece));
          controller.close();
        },
      }),
      duplex: "half",
    };
    const request = new Request(`http://${incoming.headers.host}${incoming.url}`, init);
    void sendRecords(request, { door: at.door, kind }).then(async (response) => {
      outgoing.writeHead(response.status, Object.fromEntries(response.headers));
      outgoing.end(await response.text());
    });
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const bound = server.address();
  address = `http://127.0.0.1:${typeof bound === "object" && bound ? bound.port : 0}`;
  writeFileSync(join(at.folder, "readings.jsonl"), exampleRows.readings.jsonLines);
  writeFileSync(join(at.folder, "readings.csv"), exampleRows.readings.csv);
  writeFileSync(join(at.folder, "events.csv"), exampleRows.events.csv);
});
afterAll(() => {
  server.closeAllConnections();
  server.close();
  at.close();
});

describe("the page about sending", () => {
  it("shows commands that answer as it says, run as they stand", async () => {
    expect(examples.length).toBe(4);
    execFileSync("curl", ["--version"]);
    for (const { command, answer } of examples) {
      expect(JSON.parse(await shell(command)), command).toEqual(answer);
      const name = answer.type === undefined ? "Answer" : "Problem";
      expect(schemaErrors(name, answer)).toEqual([]);
    }
  });

  it("states the limits and the wishes that hold", () => {
    expect(page).toContain(`| ${apiLimits.bodyBytes / 1e6} MB | 413 |`);
    expect(page).toContain(`| ${apiLimits.bodyLines.toLocaleString("en")} | 413 |`);
    expect(page).toContain(`| ${apiLimits.perMinute} a minute, ${apiLimits.burst} at once after a pause | 429 |`);
    expect(page).toContain(`| ${apiLimits.waiting} | 503 |`);
    expect(page).toContain(`| ${apiLimits.waitMs / 1000} s | 503 |`);
    expect(page).toContain(`the first ${apiLimits.listedErrors} rows`);
    for (const { name, in: place } of servedDocument.paths["/api/v1/readings"].post.parameters) {
      expect(page).toContain(place === "query" ? `\`${name}=` : name);
    }
  });
});

describe("the other addresses of the interface", () => {
  it("serve the document, and a page for each problem", async () => {
    expect(await showDocument().json()).toEqual(servedDocument);
    for (const [name, { meaning }] of Object.entries(problems)) {
      const response = await showProblem(new Request(`http://x/api/v1/problems/${name}`), { name });
      expect(await response.text()).toContain(meaning);
    }
  });

  it("answer with problems what they do not have or take", async () => {
    const request = new Request("http://x/api/v9/anything?secret=1");
    const [nothing, method, noPage] = await Promise.all([
      nothingHere(request),
      wrongMethod(request, { allow: "POST" }),
      showProblem(request, { name: "none" }),
    ]);
    expect([nothing.status, method.status, noPage.status]).toEqual([404, 405, 404]);
    expect(method.headers.get("allow")).toBe("POST");
    for (const response of [nothing, method, noPage]) {
      expect(response.headers.get("content-type")).toBe("application/problem+json");
      const body = await response.json();
      expect(schemaErrors("Problem", body)).toEqual([]);
      expect(body.instance).toBe("/api/v9/anything");
    }
  });

  it("ask for no origin and give none away: a page of another server has no key", async () => {
    const body = exampleRows.work.csv;
    const foreign = { origin: "https://elsewhere.example" };
    expect((await send(at, { kind: "work", body, headers: foreign })).status).toBe(200);
    const keyless = await send(at, { kind: "work", body, secret: null, headers: foreign });
    expect(keyless.status).toBe(401);
    expect(keyless.headers.get("access-control-allow-origin")).toBeNull();
  });
});

function shell(command: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const env = { ...process.env, RAFTERLINE: address, RAFTERLINE_KEY: at.secret };
    const child = spawn("sh", ["-c", command], { cwd: at.folder, env, stdio: ["ignore", "pipe", "pipe"] });
    let out = "";
    let errors = "";
    child.stdout.on("data", (data) => {
      out += String(data);
    });
    child.stderr.on("data", (data) => {
      errors += String(data);
    });
    child.once("close", (code) => (code === 0 ? resolve(out) : reject(new Error(`${code}: ${errors}`))));
  });
}
