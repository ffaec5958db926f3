import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { previewJobFile, settleJobFile } from "@/app/_server/job-file-routes";
import { JobQueue } from "@/app/_server/job-queue";
import { addJobFile, createJob, dropJob, type JobDoor, showJob } from "@/app/_server/job-routes";
import { answerOf, startUpload } from "@/app/_server/start-upload";
import { type Context, openContext } from "@/lib/services/context";
import { describeFile } from "@/lib/services/describe-file";
import { permissions } from "@/lib/services/permissions";

const home = "http://127.0.0.1:3000";
const levels = "Point;Read;Level %\nB-01;03.04.2025 07:15;98,5\nB-02;04.05.2025 07:15;97\n";
const choices = { replaces: false, fold: "refuse" } as const;
let folder = "";
let context: Context;
let door: JobDoor;
/** What the command was told of each file. */
let orders: unknown[] = [];

beforeEach(() => {
  folder = mkdtempSync(path.join(tmpdir(), "rafterline-routes-"));
  orders = [];
  context = openContext(path.join(folder, "store.sqlite"), { now: Date.UTC(2026, 0, 1) });
  const queue = new JobQueue({
    run: async () => ({ exitCode: 0, stderr: "" }),
    storeFile: "store.db",
    stagingRoot: path.join(folder, "uploads"),
    now: () => 0,
    findImport: async (names) => {
      orders.push(...names);
      return null;
    },
    describe: ({ name, path: file, plan }) => describeFile(context, { name, path: file, staged: plan }),
  });
  door = { queue, permissions: new Set(permissions) };
});
afterEach(() => {
  context.store.close();
  rmSync(folder, { recursive: true, force: true });
});

function request(
  address: string,
  { body, origin = home, headers = {}, method = "POST" }: RequestOptions = {},
): Request {
  return new Request(`${home}${address}`, {
    method,
    headers: { host: "127.0.0.1:3000", ...(origin === null ? {} : { origin }), ...headers },
    ...(body === undefined ? {} : { body }),
  });
}
type RequestOptions = { body?: string; origin?: string | null; headers?: Record<string, string>; method?: string };

async function newImport(): Promise<string> {
  return (await (await createJob(request("/jobs?kind=import"), door)).json()).id;
}

async function send(id: string, name: string, text: string): Promise<number> {
  const headers = { "content-length": String(Buffer.byteLength(text)) };
  const answer = await addJobFile(request(`/jobs/${id}/files?name=${name}`, { body: text, headers }), { ...door, id });
  expect(answer.status).toBe(201);
  return (await answer.json()).position;
}

const preview = (id: string, position: string | number, look: unknown) =>
  previewJobFile(request(`/jobs/${id}/files/${position}/preview`, { body: JSON.stringify(look) }), {
    queue: door.queue,
    context,
    id,
    position: String(position),
  });
const settle = (id: string, position: number, body: unknown) =>
  settleJobFile(request(`/jobs/${id}/files/${position}/mapping`, { method: "PUT", body: JSON.stringify(body) }), {
    queue: door.queue,
    context,
    id,
    position: String(position),
  });

describe("the routes of jobs", () => {
  it("take a file as the raw body and tell how the job stands", async () => {
    const id = await newImport();
    expect(await send(id, "sites.csv", "site_id\n")).toBe(0);
    const state = showJob({ ...door, id });
    expect(state.headers.get("cache-control")).toBe("no-store");
    expect(await state.json()).toMatchObject({ id, files: [{ position: 0, name: "sites.csv", bytes: 8 }] });
    expect((await dropJob(request(`/jobs/${id}`, { method: "DELETE" }), { ...door, id })).status).toBe(204);
    expect(showJob({ ...door, id }).status).toBe(404);
  });

  it.each([["https://elsewhere.example"], ["null"], [null], ["http://127.0.0.1:3001"]])(
    "refuse a POST that comes from %s",
    async (origin) => {
      expect((await createJob(request("/jobs?kind=import", { origin }), door)).status).toBe(403);
      const file = { queue: door.queue, context, id: "x", position: "0" };
      expect((await previewJobFile(request("/jobs/x/files/0/preview", { origin, body: "{}" }), file)).status).toBe(403);
    },
  );

  it("refuse a file whose length does not match what was announced, and say how to go on", async () => {
    const id = await newImport();
    const headers = { "content-length": "99" };
    const file = request(`/jobs/${id}/files?name=sites.csv`, { body: "site_id\n", headers });
    const answer = await addJobFile(file, { ...door, id });
    expect(answer.status).toBe(400);
    expect(await answer.json()).toEqual({ message: "8 of 99 bytes arrived; send the file again" });
  });

  it("hide everything from a caller without the right", async () => {
    const id = await newImport();
    await send(id, "levels.csv", levels);
    const nobody = { queue: door.queue, permissions: new Set<never>() };
    expect((await createJob(request("/jobs?kind=backtest"), nobody)).status).toBe(404);
    expect((await createJob(request("/jobs?kind=analyse"), nobody)).status).toBe(404);
    expect(showJob({ ...nobody, id }).status).toBe(404);
    const look = request("/jobs/x/files/0/preview", { body: "{}" });
    const blind = { queue: door.queue, context: { ...context, permissions: new Set<never>() }, id, position: "0" };
    expect((await previewJobFile(look, blind)).status).toBe(404);
  });

  it("answer 404 for what is not known and 400 for what makes no sense", async () => {
    expect(showJob({ ...door, id: "gone" }).status).toBe(404);
    expect((await createJob(request("/jobs?kind=delete"), door)).status).toBe(400);
    expect((await preview("gone", 0, {})).status).toBe(404);
    const id = await newImport();
    await send(id, "levels.csv", levels);
    for (const position of ["1", "-1", "x"]) expect((await preview(id, position, {})).status).toBe(404);
    for (const look of [[], { draft: {} }, { kind: "weather" }, { table: { separator: "x" } }]) {
      expect((await preview(id, 0, look)).status).toBe(400);
    }
  });
});

describe("an upload that is looked over before it is imported", () => {
  it("cannot be started while a file needs a person, and is once that person has settled how it is read", async () => {
    const id = await newImport();
    await send(id, "sites.csv", "site_id,name,latitude,longitude,time_zone\nS1,Hall,60,24,Europe/Helsinki\n");
    const position = await send(id, "levels.csv", levels);
    const started = () => startUpload(door.queue, { jobId: id, choices });
    await expect(started()).rejects.toMatchObject({ code: "conflict", message: expect.stringContaining("levels.csv") });

    const guess = await (await preview(id, position, {})).json();
    const { read_at, ...others } = guess.draft.columns;
    const draft = {
      ...guess.draft,
      columns: { ...others, read_at: { ...read_at, read: { ...read_at.read, order: "day_first" } } },
    };
    const bad = await settle(id, position, { draft: { ...draft, columns: others }, name: null });
    expect(bad.status).toBe(400);
    expect((await bad.json()).message).toContain("read_at");
    expect((await settle(id, position, { draft, name: "Levels" })).status).toBe(200);
    expect(await door.queue.files(id).describe(position)).toMatchObject({
      state: "ready",
      by: "chosen",
      saved: { name: "Levels", version: 1 },
      order: { name: "levels.csv", mapping: draft, mappingVersionKey: 1 },
    });
    await started();
    await expect.poll(() => orders).toEqual(["sites.csv", "levels.csv"]);
  });

  it("keeps a draft that is being changed, so that a reload shows it, but does not take it for settled", async () => {
    const id = await newImport();
    await send(id, "levels.csv", levels);
    await preview(id, 0, { kind: "work" });
    expect(door.queue.files(id).get(0).plan).toMatchObject({ draft: { kind: "work" }, settled: false });
    expect(await door.queue.files(id).describe(0)).toMatchObject({ state: "asks", by: "draft" });
  });

  it("is read by a mapping that another file of it was saved with", async () => {
    const id = await newImport();
    for (const name of ["april.csv", "may.csv"]) await send(id, name, levels.replaceAll("03.04", "13.04"));
    const { draft } = await (await preview(id, 0, {})).json();
    await settle(id, 0, { draft, name: "Levels" });
    expect(await door.queue.files(id).describe(1)).toMatchObject({
      state: "ready",
      by: "saved",
      saved: { version: 1 },
    });
  });

  it("takes an answer to what a file asks, and leaves out what cannot be read", async () => {
    const id = await newImport();
    await send(id, "readings.csv", "detector_id,read_at,signal_pct\nB-01,03/04/2025 07:15,98.5\n");
    await send(id, "report.csv", "%PDF-1.7\n");
    const staged = door.queue.files(id);
    const { questions } = await staged.describe(0);
    expect(questions.map(({ about, ours, options }) => [about, ours, options.map(({ reads }) => reads)])).toEqual([
      ["dates", ["read_at"], ["2025-04-03", "2025-03-04"]],
    ]);
    const answer = { position: 0, about: "dates", ours: ["read_at"] } as const;
    await expect(answerOf(staged, { ...answer, answer: "sideways" })).rejects.toMatchObject({ code: "invalid_input" });
    await answerOf(staged, { ...answer, answer: "month_first" });
    expect(await staged.describe(0)).toMatchObject({ state: "ready", questions: [] });
    await startUpload(door.queue, { jobId: id, choices });
    await expect.poll(() => orders).toEqual(["readings.csv"]);
  });
});
