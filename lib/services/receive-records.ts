import type { Store } from "@/db/client";
import { listSites } from "@/db/queries/sites";
import { StoreFailure } from "@/db/store-error";
import { AppError } from "@/lib/kernel/errors";
import type { FoldChoice } from "@/lib/kernel/time";
import type { SentKind } from "@/lib/report/api/shapes";
import { answeredBefore, type Sender, settle } from "@/lib/services/api/kept-answer";
import { nothingWentIn, outcomeOf } from "@/lib/services/api/outcome";
import { type ApiReply, busy, problemReply, Refused } from "@/lib/services/api/problem";
import type { ApiKeyView } from "@/lib/services/api-keys";
import type { Context } from "@/lib/services/context";
import type { ReadChoices } from "@/lib/services/import/file-to-import";
import { type ImportReport, importFiles } from "@/lib/services/import-files";
import { mappingNameOf, showMapping } from "@/lib/services/mappings";
import { requirePermission } from "@/lib/services/permissions";

/** What was sent: which kind of records by which key, where the body stands, and how it is to be read. */
export type SentRecords = Sender & {
  readonly kind: SentKind;
  /** Path of the body, unpacked and in UTF-8 or one of the encodings a table may have. */
  readonly path: string;
  /** Path of the request, without its query. */
  readonly instance: string;
  readonly replaces: boolean;
  readonly fold: FoldChoice;
  /** What the sender says of the form of the table; what is left out is found out. */
  readonly reading: Pick<ReadChoices, "table" | "dates" | "decimal">;
  /** A saved mapping as NAME or NAME@VERSION; null for canonical columns. */
  readonly mapping: string | null;
};

/**
 * Takes in records sent with a key as one import, and answers what became of each row.
 *
 * A request with an idempotency key that was answered before gets that answer again; answer and rows are stored in one
 * unit, so neither is ever there without the other.
 *
 * @throws Refused for all that is not an answer about rows; then nothing was stored
 */
export async function receiveRecords(context: Context, sent: SentRecords): Promise<ApiReply> {
  requirePermission(context, "import");
  const earlier = await answeredBefore(context.store, { ...sent, now: context.now });
  if (earlier) return earlier;
  try {
    return await takeIn(context, sent);
  } catch (thrown) {
    if (!(thrown instanceof StoreFailure)) throw thrown;
    // The path of the store is not for senders.
    if (thrown.busy) throw busy("another import is being written; nothing of this request was stored");
    throw new Refused("no-room", "the store cannot be written; nothing of this request was stored", {
      headers: { "retry-after": "60" },
    });
  }
}

async function takeIn(context: Context, sent: SentRecords): Promise<ApiReply> {
  const { kind, key, path, reading, replaces, fold } = sent;
  const saved = await mappingOf(context, sent);
  const mapped = saved ? { mapping: saved.mapping, mappingVersionKey: saved.versionKey } : {};
  let reply: ApiReply | null = null;
  await importFiles(context, {
    files: [{ name: `${kind} sent with the key ${key.name}`, path, kind, ...reading, ...mapped }],
    replaces,
    fold,
    scope: { siteIds: await sitesOf(context.store, key) },
    beforeEnd: async (unit, report) => {
      reply = await replyOf(unit, { report, sent });
      await settle(unit, { sender: sent, reply, now: context.now });
    },
  });
  if (!reply) throw new Error("an import ended without an answer");
  return reply;
}

async function replyOf(unit: Store, { report, sent }: { report: ImportReport; sent: SentRecords }): Promise<ApiReply> {
  const [file] = report.files;
  if (!file) throw new Error(`import ${report.id} has no file`);
  const outcome = await outcomeOf(unit, { report, file, kind: sent.kind });
  if (file.failure === null && !nothingWentIn(outcome)) {
    const headers = { "content-type": "application/json", "cache-control": "no-store" };
    return { status: 200, headers, body: `${JSON.stringify(outcome)}\n` };
  }
  const detail = file.failure
    ? `the body could not be read: ${file.failure.reason}`
    : "none of the rows could go in; errors says why";
  return problemReply(new Refused("nothing-usable", detail, { outcome }), sent);
}

/** The sites a key may write to, as they are at this moment. */
async function sitesOf(store: Store, { scope, scopeId }: ApiKeyView): Promise<ReadonlySet<string>> {
  const sites = await listSites(store);
  const own = sites.filter((site) => (scope === "site" ? site.siteId : site.portfolio) === scopeId);
  return new Set(own.map((site) => site.siteId));
}

async function mappingOf(context: Context, { mapping, kind }: SentRecords) {
  if (mapping === null) return null;
  const wanted = mappingNameOf(mapping);
  try {
    const saved = await showMapping({ ...context, permissions: new Set(["see"]) }, wanted);
    if (saved.mapping.kind === kind) return saved;
    throw new Refused("malformed-request", `the mapping ${wanted.name} makes ${saved.mapping.kind}, not ${kind}`);
  } catch (thrown) {
    if (thrown instanceof AppError && thrown.code === "not_found") throw new Refused("not-found", thrown.message);
    throw thrown;
  }
}
