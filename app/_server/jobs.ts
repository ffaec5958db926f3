import "server-only";
import path from "node:path";
import { storeFile } from "@/app/_server/context";
import { JobQueue } from "@/app/_server/job-queue";
import { commandRunner } from "@/app/_server/run-command";
import { removeLeftovers } from "@/app/_server/staging";

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
  return new JobQueue({ run: commandRunner(process.cwd()), storeFile: file, stagingRoot, now: Date.now });
}
