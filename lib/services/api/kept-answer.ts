import type { Store } from "@/db/client";
import { findAnswer, keepAnswer } from "@/db/queries/api-answers";
import { keyStands, noteKeyUse } from "@/db/queries/api-keys";
import { apiLimits } from "@/lib/report/api/limits";
import { type ApiReply, noValidKey, Refused } from "@/lib/services/api/problem";
import type { ApiKeyView } from "@/lib/services/api-keys";

/** Who sent a request, and the sender's own mark of it with the hash of all that was sent; null without one. */
export type Sender = {
  readonly key: ApiKeyView;
  readonly idempotency: { readonly key: string; readonly requestHash: string } | null;
};

/**
 * The kept answer to an earlier request with the same idempotency key; null when there is none.
 *
 * @throws Refused when that request was another one
 */
export async function answeredBefore(
  store: Store,
  { key, idempotency, now }: Sender & { now: number },
): Promise<ApiReply | null> {
  if (!idempotency) return null;
  const kept = await findAnswer(store, { apiKey: key.id, idempotencyKey: idempotency.key });
  if (!kept || kept.answeredAt < now - apiLimits.answersKeptMs) return null;
  if (kept.requestHash !== idempotency.requestHash) {
    throw new Refused(
      "idempotency-key-reused",
      "another request was sent with this Idempotency-Key; use a new one for each new request",
    );
  }
  const type = kept.status === 200 ? "application/json" : "application/problem+json";
  const headers = { "content-type": type, "cache-control": "no-store", "idempotency-replayed": "true" };
  return { status: kept.status, headers, body: kept.body };
}

/** What belongs to the answer itself: the key must still stand, its use is noted, the answer is kept. */
export async function settle(
  unit: Store,
  { sender: { key, idempotency }, reply, now }: { sender: Sender; reply: ApiReply; now: number },
): Promise<void> {
  if (!(await keyStands(unit, key.id))) throw noValidKey();
  await noteKeyUse(unit, { key: key.id, at: now, stepMs: apiLimits.useNotedMs });
  if (!idempotency) return;
  if (await answeredBefore(unit, { key, idempotency, now })) {
    throw new Refused("still-in-progress", "the same request has just been answered elsewhere; send it again");
  }
  const { key: idempotencyKey, requestHash } = idempotency;
  const { status, body } = reply;
  const answer = { apiKey: key.id, idempotencyKey, requestHash, status, body, answeredAt: now };
  await keepAnswer(unit, answer, { forgetBefore: now - apiLimits.answersKeptMs });
}
