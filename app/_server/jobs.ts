import "server-only";
import path from "node:path";
import { backgroundContext, storeFile } from "@/app/_server/context";
import { JobQueue } from "@/app/_server/job-queue";
import { commandRunner } from "@/app/_server/run-command";
import { removeLeftovers } from "@/app/_server/staging";
import { describeFile } from "@/lib/services/describe-file";
import { listImports } from "@/lib/services/list-imports";

declare global {
  var rafterlineJobs: JobQueue | undefined;
}

/** The one queue of this server; kept on globalThis, since pages and routes are bundled apart. */
export function jobs(): JobQueue {
  globalThis.rafterlineJobs ??= openQueue();
  return globalThis.rafterlineJobs;
}

function openQueue(): JobQueue {
  const file = storeFile();
  // Beside the store: the same disk, which has room for the data, and never the machine's shared temporary folder.
  const stagingRoot = path.join(path.dirname(file), `.${path.basename(file)}-uploads`);
  void removeLeftovers(stagingRoot, { now: Date.now() });
  return new JobQueue({
    run: commandRunner(process.cwd()),
    storeFile: file,
    stagingRoot,
    now: Date.now,
    findImport,
    describe: ({ name, path, plan }) => describeFile(backgroundContext(), { name, path, staged: plan }),
  });
}

/** The latest import of files of these names; jobs run one at a time, so it is the one that just ended. */
async function findImport(names: readonly string[]): Promise<{ importId: number; changed: boolean } | null> {
  const { imports } = await listImports(backgroundContext(), { limit: 5 });
  const found = imports.find((one) => one.files.map(({ name }) => name).join("/") === names.join("/"));
  if (!found) return null;
  return { importId: found.id, changed: found.files.some(({ accepted, replaced }) => accepted + replaced > 0) };
}
