import { z } from "zod";
import { currentContext } from "@/app/_server/context";
import { AppError } from "@/lib/kernel/errors";
import { showMapping } from "@/lib/services/mappings";

const asked = z.coerce.number().int().positive().optional().catch(undefined);

/** A version of a saved mapping as a JSON document. */
export async function GET(
  request: Request,
  { params }: RouteContext<"/imports/mappings/[name]/export">,
): Promise<Response> {
  const name = decodeURIComponent((await params).name);
  const version = asked.parse(new URL(request.url).searchParams.get("version") ?? undefined);
  try {
    const found = await showMapping(await currentContext(), { name, version });
    const file = `${found.name.replace(/[^a-z0-9]+/gi, "-")}-${found.version}.json`;
    return new Response(`${JSON.stringify(found.mapping, null, 2)}\n`, {
      headers: {
        "content-type": "application/json; charset=utf-8",
        "content-disposition": `attachment; filename="${file}"`,
        "cache-control": "no-store",
      },
    });
  } catch (thrown) {
    if (!(thrown instanceof AppError)) throw thrown;
    return new Response(thrown.message, { status: 404 });
  }
}
