import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type ImportOrder, JobQueue } from "@/app/_server/job-queue";
import type { CommandEnd, RunCommand } from "@/app/_server/run-command";

const command = ["import", "--db", "/stores/store.db", "--progress", "json"];
const good: CommandEnd = { exitCode: 0, stderr: "" };
type Found = { importId: number; changed: boolean } | null;

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(path.join(tmpdir(), "rafterline-jobs-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true, maxRetries: 20, retryDelay: 50 }));

function queueOf(run: RunCommand, found: Found = { importId: 7, changed: true }): JobQueue {
  return new JobQueue({
    run,
    storeFile: "/stores/store.db",
    stagingRoot: path.join(folder, "uploads"),
    now: () => 1000,
    findImport: async () => found,
    describe: async () => {
      throw new Error("nothing here is described");
    },
  });
}

/** An order for files of these names, each read as it stands. */
function orderOf(...names: string[]): ImportOrder {
  return { choices: { replaces: false, fold: "refuse" }, files: names.map((name) => ({ name })) };
}

function bodyOf(text: string): ReadableStream<Uint8Array> {
  return new Blob([text]).stream();
}

async function ended(queue: JobQueue, id: string) {
  for (let turn = 0; turn < 500; turn += 1) {
    const view = queue.view(id);
    if (view?.state === "done" || view?.state === "failed") return view;
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  throw new Error("the job did not end");
}

async function importOf(queue: JobQueue, text = "site_id\n"): Promise<string> {
  const id = queue.create("import");
  await queue.files(id).add(bodyOf(text), { name: "sites.csv", expectedBytes: text.length });
  queue.start(id, orderOf("sites.csv"));
  return id;
}

describe("an import asked for by a page", () => {
  it("runs one import over all its files under their own names, then an analysis, and leaves no file behind", async () => {
    const calls: string[][] = [];
    const contents: string[] = [];
    const queue = queueOf(async (args, { folder: home }) => {
      calls.push([...args]);
      const files = args.filter((arg) => arg.endsWith(".csv"));
      contents.push(...files.map((file) => readFileSync(path.join(home, file), "utf8")));
      return args[0] === "import" ? { exitCode: 3, stderr: "" } : good;
    });
    const id = queue.create("import");
    await queue.files(id).add(bodyOf("first"), { name: "sites.csv", expectedBytes: 5 });
    await queue.files(id).add(bodyOf("second"), { name: "Sites.csv", expectedBytes: 6 });
    queue.start(id, orderOf("sites.csv", "Sites (2).csv"));
    const view = await ended(queue, id);

    expect(view).toMatchObject({ state: "done", message: null, endedAt: 1000, importId: 7, analysed: true });
    expect(calls).toEqual([
      [...command, "--plan", ".plan.json", "--", "sites.csv", "Sites (2).csv"],
      ["analyse", "--db", "/stores/store.db", "--progress", "json"],
    ]);
    expect(contents).toEqual(["first", "second"]);
    expect(readdirSync(folder)).toEqual([]);
  });

  it.each([
    [{ replaces: true, fold: "refuse" }, ["--replace"]],
    [{ replaces: false, fold: "first" }, ["--fold", "first"]],
    [{ replaces: true, fold: "second" }, ["--replace", "--fold", "second"]],
  ] as const)("reads its files as chosen: %o", async (choices, options) => {
    const calls: string[][] = [];
    const queue = queueOf(async (args) => {
      calls.push([...args]);
      return good;
    });
    const id = queue.create("import");
    await queue.files(id).add(bodyOf("x"), { name: "sites.csv", expectedBytes: 1 });
    queue.start(id, { ...orderOf("sites.csv"), choices });
    await ended(queue, id);
    expect(calls).toEqual([
      [...command, ...options, "--plan", ".plan.json", "--", "sites.csv"],
      ["analyse", "--db", "/stores/store.db", "--progress", "json"],
    ]);
  });

  it("hands the command how each file is read, in the order of the files", async () => {
    const plans: unknown[] = [];
    const queue = queueOf(async (args, { folder: home }) => {
      if (args[0] === "import") plans.push(JSON.parse(readFileSync(path.join(home, ".plan.json"), "utf8")));
      return good;
    });
    const id = queue.create("import");
    for (const name of ["levels.txt", "sites.csv"]) await queue.files(id).add(bodyOf("x"), { name, expectedBytes: 1 });
    const files = [{ name: "levels.txt", dates: "day_first" as const }, { name: "sites.csv" }];
    queue.start(id, { ...orderOf(), files });
    await ended(queue, id);
    expect(plans).toEqual([files]);
  });

  it("a backtest runs that one command, and where records are too short it says so and did not fail", async () => {
    const calls: string[][] = [];
    const queue = queueOf(async (args) => {
      calls.push([...args]);
      return calls.length === 1 ? good : { exitCode: 2, stderr: "error: records are too short" };
    });
    const [first, second] = [queue.create("backtest"), queue.create("backtest")];
    queue.start(first);
    queue.start(second);
    expect(await ended(queue, first)).toMatchObject({ kind: "backtest", state: "done", analysed: true });
    expect(await ended(queue, second)).toMatchObject({
      state: "done",
      analysed: false,
      message: "records are too short",
    });
    expect(calls[0]).toEqual(["backtest", "--db", "/stores/store.db", "--progress", "json"]);
  });

  it("an import that changed nothing is not analysed again", async () => {
    const commands: (string | undefined)[] = [];
    const run: RunCommand = async ([command]) => {
      commands.push(command);
      return good;
    };
    const queue = queueOf(run, { importId: 8, changed: false });
    expect(await ended(queue, await importOf(queue))).toMatchObject({ state: "done", importId: 8, analysed: false });
    expect(commands).toEqual(["import"]);
  });

  it("a file that cannot be read does not stop the others from being taken in and analysed", async () => {
    const queue = queueOf(async (args) => (args[0] === "import" ? { exitCode: 2, stderr: "" } : good));
    expect(await ended(queue, await importOf(queue))).toMatchObject({ state: "done", importId: 7, analysed: true });
  });

  it("one job runs at a time; the others wait in the order in which they were started", async () => {
    const order: string[] = [];
    let running = 0;
    const queue = queueOf(async (args) => {
      running += 1;
      expect(running).toBe(1);
      await new Promise((resolve) => setTimeout(resolve, 5));
      running -= 1;
      order.push(args[0] ?? "");
      return good;
    });
    const first = await importOf(queue);
    const second = queue.create("analyse");
    queue.start(second);
    const third = await importOf(queue);
    expect(queue.view(second)?.state).toBe("waiting");
    expect([first, second, third].map((id) => queue.view(id)?.before)).toEqual([0, 1, 2]);
    await ended(queue, third);
    expect(order).toEqual(["import", "analyse", "analyse", "import", "analyse"]);
  });

  it("an import that fails says why, is not analysed, and does not stop the next job", async () => {
    const queue = queueOf(
      async (args) => (args[0] === "import" ? { exitCode: 2, stderr: "error: the store is being written" } : good),
      null,
    );
    const id = await importOf(queue);
    expect(await ended(queue, id)).toMatchObject({ state: "failed", message: "the store is being written" });
    const next = queue.create("analyse");
    queue.start(next);
    expect(await ended(queue, next)).toMatchObject({ state: "done" });
  });

  it("an analysis that fails after a good import says that the files went in", async () => {
    const queue = queueOf(async (args) => (args[0] === "import" ? good : { exitCode: 1, stderr: "no data" }));
    const view = await ended(queue, await importOf(queue));
    expect(view.message).toBe("The files went in, but the analysis failed: no data");
  });

  it("an analysis of a store without records is done, and says why there was nothing to do", async () => {
    const queue = queueOf(async () => ({ exitCode: 2, stderr: "error: the store holds no records yet" }));
    const id = queue.create("analyse");
    queue.start(id);
    const message = "the store holds no records yet";
    expect(await ended(queue, id)).toMatchObject({ state: "done", analysed: false, message });
  });

  it("progress lines are shown while the job runs", async () => {
    const seen: unknown[] = [];
    const queue = queueOf(async (args, { onLine }) => {
      if (args[0] === "import") {
        onLine('{"step":"import","file":"readings.csv","rows":10,"done":500,"total":2000}');
        onLine("a line for people");
        seen.push(queue.current()?.progress);
      }
      return good;
    });
    await ended(queue, await importOf(queue));
    expect(seen).toEqual([{ text: "readings.csv", done: 500, total: 2000 }]);
    expect(queue.current()).toBeNull();
  });

  it("without a file there is nothing to start, and a started job takes no more files", async () => {
    const queue = queueOf(async () => good);
    const empty = queue.create("import");
    expect(() => queue.start(empty, orderOf())).toThrow("choose at least one");
    expect(() => queue.start(empty)).toThrow("choose at least one");
    const id = await importOf(queue);
    expect(() => queue.files(id)).toThrow("started already");
  });
});

describe("a file on its way in", () => {
  it("that is cut short or longer than announced is refused and not kept", async () => {
    const queue = queueOf(async () => good);
    const id = queue.create("import");
    for (const expectedBytes of [9, 3]) {
      await expect(queue.files(id).add(bodyOf("12345"), { name: "readings.csv", expectedBytes })).rejects.toMatchObject(
        {
          code: "invalid_input",
        },
      );
    }
    expect(queue.view(id)?.files).toEqual([]);
    expect(existsSync(path.join(folder, "uploads", id, "readings.csv"))).toBe(false);
  });

  it("can be left out alone, and its name is free again", async () => {
    const queue = queueOf(async () => good);
    const id = queue.create("import");
    for (const name of ["a.csv", "b.csv"]) await queue.files(id).add(bodyOf("x"), { name, expectedBytes: 1 });
    await queue.files(id).remove(0);
    expect(readdirSync(path.join(folder, "uploads", id))).toEqual(["b.csv"]);
    await queue.files(id).add(bodyOf("y"), { name: "a.csv", expectedBytes: 1 });
    expect(queue.view(id)?.files).toEqual([
      { position: 1, name: "b.csv", bytes: 1 },
      { position: 2, name: "a.csv", bytes: 1 },
    ]);
  });

  it("is removed with its upload when that is given up or the connection breaks", async () => {
    const queue = queueOf(async () => good);
    const id = queue.create("import");
    const broken = new ReadableStream<Uint8Array>({
      start: (controller) => controller.enqueue(new Uint8Array(3)),
      pull: (controller) => controller.error(new Error("connection reset")),
    });
    await expect(queue.files(id).add(broken, { name: "a.csv", expectedBytes: 9 })).rejects.toThrow(
      /connection reset after \d of 9 bytes; send the file again/,
    );
    await queue.files(id).add(bodyOf("12345"), { name: "b.csv", expectedBytes: 5 });
    expect(readdirSync(path.join(folder, "uploads", id))).toEqual(["b.csv"]);
    await queue.drop(id);
    expect(queue.view(id)).toBeNull();
    expect(readdirSync(folder)).toEqual([]);
  });

  it("cannot leave its folder by its name, nor take the name of the plan", async () => {
    const queue = queueOf(async () => good);
    const id = queue.create("import");
    for (const name of ["../../../outside.csv", "..\\..\\outside.csv", "--db", "/etc/x.csv", ".plan.json"]) {
      await queue.files(id).add(bodyOf("x"), { name, expectedBytes: 1 });
    }
    const names = queue.files(id).list();
    expect(names.map(({ name }) => name)).toEqual(["outside.csv", "outside (2).csv", "db", "x.csv", "plan.json"]);
    for (const { path: file } of names) expect(path.dirname(file)).toBe(path.join(folder, "uploads", id));
  });
});
