import { z } from "zod";
import { currentContext } from "@/app/_server/context";
import { csvResponse } from "@/app/_server/csv-response";
import { AppError } from "@/lib/kernel/errors";
import { downloadConflicts } from "@/lib/services/download-conflicts";

const asked = z.object({
  importId: z.coerce.number().int().positive(),
  kind: z.enum(["sites", "detectors", "readings", "events", "work"]).optional(),
});

/** The rows of an import that differ from stored ones of the same key, value by value, as CSV. */
export async function GET(
  request: Request,
  { params }: RouteContext<"/imports/[importId]/conflicts">,
): Promise<Response> {
  const kind = new URL(request.url).searchParams.get("kind") ?? undefined;
  const parsed = asked.safeParse({ importId: (await params).importId, kind });
  if (!parsed.success) return new Response("nothing stands at this address", { status: 404 });
  const { importId } = parsed.data;
  const parts = downloadConflicts(await currentContext(), {
    importId,
    ...(parsed.data.kind ? { kind: parsed.data.kind } : {}),
  });
  try {
    // The first part shows whether the import exists at all, before any of it is sent.
    const first = await parts.next();
    const name = `import-${importId}-${parsed.data.kind ?? "rows"}-differing.csv`;
    return csvResponse(startingWith(first.done ? "" : first.value, parts), name);
  } catch (thrown) {
    if (!(thrown instanceof AppError)) throw thrown;
    return new Response(thrown.message, { status: thrown.code === "invalid_input" ? 400 : 404 });
  }
}

async function* startingWith(first: string, rest: AsyncGenerator<string>): AsyncGenerator<string> {
  yield first;
  yield* rest;
}
