import { z } from "zod";
import { detectorSorts } from "@/db/queries/run-results";
import { accessKinds } from "@/lib/records/vocabulary";
import type { DetectorsQuery } from "@/lib/services/show-detectors";

const word = z.string().trim().min(1).max(200).optional().catch(undefined);

/** The parts of an address that say which detectors to list; a part that makes no sense is left out, never refused. */
const addressSchema = z.object({
  site: word,
  kind: word,
  access: z.enum(accessKinds).optional().catch(undefined),
  q: word,
  sort: z.enum(detectorSorts).optional().catch(undefined),
  dir: z.enum(["asc", "desc"]).optional().catch(undefined),
  page: z.coerce.number().int().min(1).max(1_000_000).optional().catch(undefined),
});

/** The query an address asks for. */
export function detectorsQueryOf(parts: Readonly<Record<string, unknown>>): DetectorsQuery {
  const { site, kind, access, q, sort, dir, page } = addressSchema.parse(parts);
  return { siteId: site, kind, access, text: q, sort, direction: dir, page };
}

/** The part of an address after its path that asks for a query, empty or from `?` on; what is as usual is left out. */
export function detectorsSearch(query: DetectorsQuery): `?${string}` | "" {
  const parts = new URLSearchParams();
  const put = (name: string, value: string | number | undefined) => {
    if (value !== undefined && value !== "") parts.set(name, String(value));
  };
  put("site", query.siteId);
  put("kind", query.kind);
  put("access", query.access);
  put("q", query.text);
  put("sort", query.sort);
  put("dir", query.direction);
  put("page", query.page === 1 ? undefined : query.page);
  const text = parts.toString();
  return text === "" ? "" : `?${text}`;
}

/** Ways of reaching a detector, to choose from. */
export const accessChoices = accessKinds;
