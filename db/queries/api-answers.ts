import { and, eq, lt } from "drizzle-orm";
import type { Store } from "@/db/client";
import { apiAnswers } from "@/db/schema/index";

/** An answer kept for a second try: the hash of the request it was given to, its status and its body as sent. */
export type StoredApiAnswer = typeof apiAnswers.$inferSelect;

/** The answer given to a request with this idempotency key of this API key; null when none is kept. */
export async function findAnswer(
  store: Store,
  { apiKey, idempotencyKey }: { apiKey: number; idempotencyKey: string },
): Promise<StoredApiAnswer | null> {
  const found = store.db
    .select()
    .from(apiAnswers)
    .where(and(eq(apiAnswers.apiKey, apiKey), eq(apiAnswers.idempotencyKey, idempotencyKey)))
    .get();
  return found ?? null;
}

/** Keeps an answer inside a unit, in place of one under the same keys, and forgets those given before the Instant `forgetBefore`. */
export async function keepAnswer(
  unit: Store,
  answer: StoredApiAnswer,
  { forgetBefore }: { forgetBefore: number },
): Promise<void> {
  unit.db.delete(apiAnswers).where(lt(apiAnswers.answeredAt, forgetBefore)).run();
  const { requestHash, status, body, answeredAt } = answer;
  unit.db
    .insert(apiAnswers)
    .values(answer)
    .onConflictDoUpdate({
      target: [apiAnswers.apiKey, apiAnswers.idempotencyKey],
      set: { requestHash, status, body, answeredAt },
    })
    .run();
}
