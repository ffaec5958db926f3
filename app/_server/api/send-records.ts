import { randomUUID } from "node:crypto";
import { rm } from "node:fs/promises";
import path from "node:path";
import { z } from "zod";
import { type ApiDoor, answered, holderOf } from "@/app/_server/api/door";
import { type BodyForm, bodyFormOf } from "@/app/_server/api/media-type";
import { receiveBody } from "@/app/_server/api/receive-body";
import { inspectBody } from "@/lib/services/api/inspect-body";
import { interfaceLimits, sentKindOf } from "@/lib/services/api/interface";
import { Refused } from "@/lib/services/api/problem";
import { receiveRecords } from "@/lib/services/receive-records";

const query = z.strictObject({
  mapping: z.string().min(1).max(220).optional(),
  replace: z.enum(["no", "yes"]).default("no"),
  fold: z.enum(["refuse", "first", "second"]).default("refuse"),
  dates: z.enum(["year_first", "day_first", "month_first"]).optional(),
  decimal: z.enum(["point", "comma"]).optional(),
});
const idempotencyKey = z.string().regex(new RegExp(`^[!-~]{1,${interfaceLimits.idempotencyKeyLength}}$`));

/** POST /api/v1/KIND: takes in the rows of the body as one import and answers what became of each. */
export function sendRecords(request: Request, { door, kind }: { door: ApiDoor; kind: string }): Promise<Response> {
  return answered(request, async () => {
    const sentKind = sentKindOf(kind);
    if (!sentKind) throw new Refused("not-found", "there is nothing at this address; /api/v1/openapi.json lists all");
    const key = await holderOf(request, door);
    const choices = choicesOf(request);
    const form = bodyFormOf(request.headers);
    const mark = markOf(request.headers);
    return door.room.admit(async () => {
      const file = path.join(door.stagingRoot, randomUUID());
      try {
        await receiveBody(request, { file });
        const requestHash = await inspectBody(file, { head: headOf(request, form), saidPacked: form.packed });
        return await door.room.inTurn(() => {
          const { replace, fold, mapping = null, ...reading } = choices;
          return receiveRecords(door.context(), {
            kind: sentKind,
            key,
            path: file,
            instance: new URL(request.url).pathname,
            replaces: replace === "yes",
            fold,
            mapping,
            reading: { ...reading, ...(form.encoding ? { table: { encoding: form.encoding } } : {}) },
            idempotency: mark === null ? null : { key: mark, requestHash },
          });
        });
      } finally {
        // The rows are in by now, or refused: a file that cannot be removed must not change the answer.
        await rm(file, { force: true }).catch(() => undefined);
      }
    });
  });
}

/** The query's choices; a name that is not known is a mistake, not a wish to be passed over. */
function choicesOf(request: Request) {
  const { searchParams } = new URL(request.url);
  const names = [...searchParams.keys()];
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  if (twice !== undefined) throw new Refused("malformed-request", `the parameter ${twice.slice(0, 40)} stands twice`);
  const parsed = query.safeParse(Object.fromEntries(searchParams));
  if (parsed.success) return parsed.data;
  const [wrong] = parsed.error.issues;
  const what = wrong?.path.map(String).join(".") || "the query";
  throw new Refused("malformed-request", `${what}: ${wrong?.message ?? "cannot be read"}`);
}

function markOf(headers: Headers): string | null {
  const given = headers.get("idempotency-key");
  if (given === null) return null;
  const parsed = idempotencyKey.safeParse(given);
  if (parsed.success) return parsed.data;
  throw new Refused(
    "malformed-request",
    `Idempotency-Key must have 1 to ${interfaceLimits.idempotencyKeyLength} visible ASCII characters`,
  );
}

/** All of a request, beside its body, that decides what becomes of it. */
function headOf(request: Request, { encoding }: BodyForm): string {
  const { pathname, searchParams } = new URL(request.url);
  searchParams.sort();
  return `POST ${pathname}?${searchParams} ${encoding ?? ""}`;
}
