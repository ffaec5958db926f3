import { z } from "zod";
import { currentContext } from "@/app/_server/context";
import { csvResponse } from "@/app/_server/csv-response";
import { AppError } from "@/lib/kernel/errors";
import type { FileKind } from "@/lib/records/files";
import type { Context } from "@/lib/services/context";

/** Rows of an import of one kind, as pieces of CSV text. */
type Download = (context: Context, asked: { importId: number; kind?: FileKind }) => AsyncGenerator<string>;

const asked = z.object({
  importId: z.coerce.number().int().positive(),
  kind: z.enum(["sites", "detectors", "readings", "events", "work"]).optional(),
});

/** The answer to a request for some rows of an import as CSV; `what` ends the name of the file. */
export async function importCsv(
  request: Request,
  { importId: sentId, download, what }: { importId: string; download: Download; what: string },
): Promise<Response> {
  const sentKind = new URL(request.url).searchParams.get("kind") ?? undefined;
  const parsed = asked.safeParse({ importId: sentId, kind: sentKind });
  if (!parsed.success) return new Response("nothing stands at this address", { status: 404 });
  const { importId, kind } = parsed.data;
  const parts = download(await currentContext(), { importId, ...(kind ? { kind } : {}) });
  try {
    // The first part shows whether the import exists at all, before any of it is sent.
    const first = await parts.next();
    const name = `import-${importId}-${kind ?? "rows"}-${what}.csv`;
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
