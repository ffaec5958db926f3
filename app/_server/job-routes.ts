import { z } from "zod";
import type { JobQueue } from "@/app/_server/job-queue";
import { isSameOrigin } from "@/app/_server/same-origin";
import { AppError, type AppErrorCode } from "@/lib/kernel/errors";
import { type Permission, requirePermission } from "@/lib/services/permissions";

/** What the routes of jobs work with; the doors hand it in, so that tests can. */
export type JobDoor = { readonly queue: JobQueue; readonly permissions: ReadonlySet<Permission> };

const kinds = z.enum(["import", "analyse", "backtest"], "kind must be import, analyse or backtest");
const fileName = z.string().min(1).max(500);
const size = z.coerce.number().int().nonnegative();

/** POST /jobs?kind=import|analyse|backtest: 201 with the job's id. */
export function createJob(request: Request, { queue, permissions }: JobDoor): Promise<Response> {
  return answered(request, () => {
    const kind = kinds.safeParse(new URL(request.url).searchParams.get("kind"));
    if (!kind.success) throw new AppError("invalid_input", kind.error.issues.map(({ message }) => message).join("; "));
    requirePermission({ permissions }, kind.data === "import" ? "import" : "analyse");
    return Response.json({ id: queue.create(kind.data) }, { status: 201 });
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
    const file = await queue.files(id).add(request.body, { name: name.data, expectedBytes: expected.data });
    return Response.json({ position: file.position, bytes: file.bytes }, { status: 201 });
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

const statuses: Record<AppErrorCode, number> = { not_found: 404, forbidden: 404, invalid_input: 400, conflict: 409 };

/** Answers a request from a page of this very server; an AppError becomes its status with the message. */
export async function answered(request: Request, door: () => Promise<Response> | Response): Promise<Response> {
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
