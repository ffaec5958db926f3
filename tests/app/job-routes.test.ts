import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { JobQueue } from "@/app/_server/job-queue";
import { addJobFile, createJob, type JobDoor, showJob, startJob } from "@/app/_server/job-routes";
import { permissions } from "@/lib/services/permissions";

const home = "http://127.0.0.1:3000";
let folder = "";
let door: JobDoor;
let calls: string[][] = [];
beforeEach(() => {
  folder = mkdtempSync(path.join(tmpdir(), "rafterline-routes-"));
  calls = [];
  const run = async (args: readonly string[]) => {
    calls.push([...args]);
    return { exitCode: 0, stderr: "" };
  };
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

async function newImport(choices = ""): Promise<string> {
  const answer = await createJob(post(`/jobs?kind=import${choices}`), door);
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

  it("hand the choices of an import to the command, and none where none was made", async () => {
    const files: string[] = [];
    for (const choices of ["", "&replace=no&fold=refuse", "&replace=yes&fold=second"]) {
      const id = await newImport(choices);
      const file = post(`/jobs/${id}/files?name=sites.csv`, { body: "x", headers: { "content-length": "1" } });
      await addJobFile(file, { ...door, id });
      await startJob(post(`/jobs/${id}/start`), { ...door, id });
      await vi.waitFor(() => expect(door.queue.view(id)?.endedAt).not.toBeNull());
      files.push(calls.at(-1)?.slice(5).join(" ") ?? "");
    }
    expect(files).toEqual(["-- sites.csv", "-- sites.csv", "--replace --fold second -- sites.csv"]);
  });

  it.each([
    ["replace=maybe", "replace must be no or yes"],
    ["fold=third", "fold must be refuse, first or second"],
    ["fold=", "fold must be refuse, first or second"],
  ])("refuse an import with %s, and begin none", async (choice, message) => {
    const answer = await createJob(post(`/jobs?kind=import&${choice}`), door);
    expect(answer.status).toBe(400);
    expect(await answer.json()).toEqual({ message });
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
    expect((await createJob(post("/jobs?kind=backtest"), nobody)).status).toBe(404);
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
