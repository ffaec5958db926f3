import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { JobQueue } from "@/app/_server/job-queue";
import { commandRunner } from "@/app/_server/run-command";
import { openContext } from "@/lib/services/context";
import { listImports } from "@/lib/services/list-imports";

const root = fileURLToPath(new URL("../..", import.meta.url));
let folder = "";
beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), "rafterline-run-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const sites =
  "site_id,name,latitude,longitude,time_zone\nS1,North hall,60.1,24.9,Europe/Helsinki\nS2,South hall,x,24.9,Europe/Helsinki\n";

describe("the command line that jobs run", () => {
  it("takes uploaded files in under the names people gave them and tells its progress", async () => {
    const home = path.join(folder, "upload");
    mkdirSync(home);
    writeFileSync(path.join(home, "our sites.csv"), sites);
    const store = path.join(folder, "direct.sqlite");
    const lines: string[] = [];
    const end = await commandRunner(root)(["import", "--db", store, "--progress", "json", "--", "our sites.csv"], {
      folder: home,
      onLine: (line) => lines.push(line),
    });
    // 3: some rows were refused.
    expect(end.exitCode).toBe(3);
    expect(lines.map((line) => JSON.parse(line)).at(-1)).toMatchObject({ done: sites.length, total: sites.length });
    const context = openContext(store, { now: 0 });
    const { imports } = await listImports(context);
    context.store.close();
    expect(imports[0]?.files[0]).toMatchObject({ name: "our sites.csv", accepted: 1, refused: 1 });
  }, 120_000);

  it("an import of sites alone is done, with the reason why nothing is analysed yet", async () => {
    const store = path.join(folder, "queued.sqlite");
    const queue = new JobQueue({
      run: commandRunner(root),
      storeFile: store,
      stagingRoot: path.join(folder, "uploads"),
      now: Date.now,
      findImport: async () => ({ importId: 1, changed: true }),
      describe: async () => {
        throw new Error("nothing here is described");
      },
    });
    const id = queue.create("import");
    await queue.files(id).add(new Blob([sites]).stream(), { name: "sites.csv", expectedBytes: sites.length });
    queue.start(id, { choices: { replaces: false, fold: "refuse" }, files: [{ name: "sites.csv" }] });
    while (queue.view(id)?.endedAt === null) await new Promise((resolve) => setTimeout(resolve, 100));
    expect(queue.view(id)).toMatchObject({
      state: "done",
      analysed: false,
      importId: 1,
      message: expect.stringMatching(/^the store holds no records yet/),
    });
  }, 120_000);
});
