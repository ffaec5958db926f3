import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { JobQueue } from "@/app/_server/job-queue";
import { addJobFile, createJob, type JobDoor, showJob, startJob } from "@/app/_server/job-routes";
import { permissions } from "@/lib/services/permissions";

const home = "http://127.0.0.1:3000";
let folder = "";
let door: JobDoor;
beforeEach(() => {
  folder = mkdtempSync(path.join(tmpdir(), "rafterline-routes-"));
  const run = async () => ({ exitCode: 0, stderr: "" });
  const queue = new JobQueue({
    run,
    storeFile: "store.db",
    stagingRoot: folder,
    now: () => 0,
    findImport: async () => null,
  });
  door = { queue, permissions: new Set(permissions) };
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function post(address: string, { body, origin = home, headers = {} }: PostOptions = {}): Request {
  return new Request(`${home}${address}`, {
    method: "POST",
    headers: { host: "127.0.0.1:3000", ...(origin === null ? {} : { origin }), ...headers },
    ...(body === undefined ? {} : { body }),
  });
}
type PostOptions = { body?: string; origin?: string | null; headers?: Record<string, string> };

async function newImport(): Promise<string> {
  const answer = await createJob(post("/jobs?kind=import"), door);
  return (await answer.json()).id;
}

describe("the routes of jobs", () => {
  it("take a file as the raw body, start, and tell how the job stands", async () => {
    const id = await newImport();
    const file = post(`/jobs/${id}/files?name=sites.csv`, { body: "site_id\n", headers: { "content-length": "8" } });
    expect((await addJobFile(file, { ...door, id })).status).toBe(201);
    expect((await startJob(post(`/jobs/${id}/start`), { ...door, id })).status).toBe(202);
    const state = showJob({ ...door, id });
    expect(state.headers.get("cache-control")).toBe("no-store");
    expect(await state.json()).toMatchObject({ id, files: [{ name: "sites.csv", bytes: 8 }] });
  });

  it.each([["https://elsewhere.example"], ["null"], [null], ["http://127.0.0.1:3001"]])(
    "refuse a POST that comes from %s",
    async (origin) => {
      expect((await createJob(post("/jobs?kind=import", { origin }), door)).status).toBe(403);
    },
  );

  it("refuse a file whose length does not match what was announced, and say how to go on", async () => {
    const id = await newImport();
    const file = post(`/jobs/${id}/files?name=sites.csv`, { body: "site_id\n", headers: { "content-length": "99" } });
    const answer = await addJobFile(file, { ...door, id });
    expect(answer.status).toBe(400);
    expect(await answer.json()).toEqual({ message: "8 of 99 bytes arrived; send the file again" });
  });

  it("hide everything from a caller without the right", async () => {
    const id = await newImport();
    const nobody = { queue: door.queue, permissions: new Set<never>() };
    expect((await createJob(post("/jobs?kind=analyse"), nobody)).status).toBe(404);
    expect((await startJob(post(`/jobs/${id}/start`), { ...nobody, id })).status).toBe(404);
    expect(showJob({ ...nobody, id }).status).toBe(404);
  });

  it("answer 404 for a job that is not known and 400 for a kind that does not exist", async () => {
    expect(showJob({ ...door, id: "gone" }).status).toBe(404);
    expect((await startJob(post("/jobs/gone/start"), { ...door, id: "gone" })).status).toBe(404);
    expect((await createJob(post("/jobs?kind=delete"), door)).status).toBe(400);
  });
});
