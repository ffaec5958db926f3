import { z } from "zod";
import type { JobQueue } from "@/app/_server/job-queue";
import { answered } from "@/app/_server/job-routes";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";
import { previewFile } from "@/lib/services/preview-file";
import { settleMapping } from "@/lib/services/settle-mapping";
import { readLook } from "@/lib/services/staged-reading";

/** What the routes of a staged file work with; `id` and `position` as they stand in the address. */
export type FileDoor = {
  readonly queue: JobQueue;
  readonly context: Context;
  readonly id: string;
  readonly position: string;
};

const place = z.coerce.number().int().nonnegative();
const settled = z.strictObject({ draft: z.unknown(), name: z.string().max(200).nullable() });
/** Longest document that is taken: 2,000 words of each column at their longest stay below it. */
const MAX_DOCUMENT_BYTES = 8_000_000;

/** POST /jobs/ID/files/N/preview with a look: 200 with what would become of the file; the draft is kept with the upload. */
export function previewJobFile(request: Request, { queue, context, id, position }: FileDoor): Promise<Response> {
  return answered(request, async () => {
    requirePermission(context, "import");
    const staged = queue.files(id);
    const { path, name, position: own } = staged.get(positionOf(position));
    const look = readLook(await documentOf(request));
    const preview = await previewFile(context, { name, path, look });
    if (preview.flaw === null) staged.plan(own, { draft: preview.draft, saved: preview.saved, settled: false });
    return Response.json(preview, { headers: { "cache-control": "no-store" } });
  });
}

/** PUT /jobs/ID/files/N/mapping with a draft and a name or null: the file is read so from now on, and the mapping kept. */
export function settleJobFile(request: Request, { queue, context, id, position }: FileDoor): Promise<Response> {
  return answered(request, async () => {
    requirePermission(context, "import");
    const staged = queue.files(id);
    const file = staged.get(positionOf(position));
    const sent = settled.safeParse(await documentOf(request));
    if (!sent.success) throw new AppError("invalid_input", "a mapping comes as { draft, name }");
    const { draft, saved } = await settleMapping(context, sent.data);
    // A mapping that is saved may fit the other files of the upload too.
    if (saved) staged.describeAnew();
    staged.plan(file.position, { draft, saved, settled: true });
    return Response.json({ saved });
  });
}

function positionOf(text: string): number {
  const parsed = place.safeParse(text);
  if (!parsed.success) throw new AppError("not_found", "this file is not part of the upload");
  return parsed.data;
}

async function documentOf(request: Request): Promise<unknown> {
  const text = await request.text();
  if (text.length > MAX_DOCUMENT_BYTES) throw new AppError("invalid_input", "the document is too long");
  try {
    return JSON.parse(text);
  } catch {
    throw new AppError("invalid_input", "the document is not JSON");
  }
}
