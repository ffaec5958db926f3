import { z } from "zod";
import type { JobQueue } from "@/app/_server/job-queue";
import type { JobKind } from "@/app/_server/job-view";
import { isSameOrigin } from "@/app/_server/same-origin";
import { AppError, type AppErrorCode } from "@/lib/kernel/errors";
import { type Permission, requirePermission } from "@/lib/services/permissions";

/** What the routes of jobs work with; the doors hand it in, so that tests can. */
export type JobDoor = { readonly queue: JobQueue; readonly permissions: ReadonlySet<Permission> };

const newJob = z.object({
  kind: z.enum(["import", "analyse", "backtest"], "kind must be import, analyse or backtest"),
  replace: z.enum(["no", "yes"], "replace must be no or yes").default("no"),
  fold: z.enum(["refuse", "first", "second"], "fold must be refuse, first or second").default("refuse"),
});
const fileName = z.string().min(1).max(500);
const size = z.coerce.number().int().nonnegative();

/** POST /jobs?kind=import|analyse|backtest[&replace=no|yes][&fold=refuse|first|second]: 201 with the job's id. */
export function createJob(request: Request, { queue, permissions }: JobDoor): Promise<Response> {
  return answered(request, () => {
    const parsed = newJob.safeParse(Object.fromEntries(new URL(request.url).searchParams));
    if (!parsed.success) {
      throw new AppError("invalid_input", parsed.error.issues.map(({ message }) => message).join("; "));
    }
    const { kind, replace, fold } = parsed.data;
    requirePermission({ permissions }, rightFor(kind));
    return Response.json({ id: queue.create(kind, { replaces: replace === "yes", fold }) }, { status: 201 });
  });
}

/** POST /jobs/ID/files?name=NAME with the file itself as the body: 201 once every announced byte has arrived. */
export function addJobFile(request: Request, { queue, permissions, id }: JobDoor & { id: string }): Promise<Response> {
  return answered(request, async () => {
    requirePermission({ permissions }, "import");
    const name = fileName.safeParse(new URL(request.url).searchParams.get("name"));
    const expected = size.safeParse(request.headers.get("content-length") ?? undefined);
    if (!name.success) throw new AppError("invalid_input", "the file has no name");
    if (!expected.success) throw new AppError("invalid_input", "the request does not say how long the file is");
    await queue.addFile(id, request.body, { name: name.data, expectedBytes: expected.data });
    return Response.json({ bytes: expected.data }, { status: 201 });
  });
}

/** POST /jobs/ID/start: 202 with the job's state; it runs at once or waits its turn. */
export function startJob(request: Request, { queue, permissions, id }: JobDoor & { id: string }): Promise<Response> {
  return answered(request, () => {
    const job = queue.view(id);
    requirePermission({ permissions }, job ? rightFor(job.kind) : "see");
    queue.start(id);
    return Response.json(queue.view(id), { status: 202 });
  });
}

/** DELETE /jobs/ID: 204 once an upload that was given up is removed with its files. */
export function dropJob(request: Request, { queue, permissions, id }: JobDoor & { id: string }): Promise<Response> {
  return answered(request, async () => {
    requirePermission({ permissions }, "import");
    await queue.drop(id);
    return new Response(null, { status: 204 });
  });
}

/** GET /jobs/ID: the job's state, 404 when it is not known. */
export function showJob({ queue, permissions, id }: JobDoor & { id: string }): Response {
  const job = permissions.has("see") ? queue.view(id) : null;
  if (!job) return Response.json({ message: "this job is not known" }, { status: 404 });
  return Response.json(job, { headers: { "cache-control": "no-store" } });
}

// A backtest is many analyses and changes nothing else.
function rightFor(kind: JobKind): Permission {
  return kind === "import" ? "import" : "analyse";
}

const statuses: Record<AppErrorCode, number> = { not_found: 404, forbidden: 404, invalid_input: 400, conflict: 409 };

async function answered(request: Request, door: () => Promise<Response> | Response): Promise<Response> {
  if (!isSameOrigin(request.headers)) {
    return Response.json({ message: "this request does not come from a page of this server" }, { status: 403 });
  }
  try {
    return await door();
  } catch (thrown) {
    if (thrown instanceof AppError)
      return Response.json({ message: thrown.message }, { status: statuses[thrown.code] });
    throw thrown;
  }
}
