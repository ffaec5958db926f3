import { DAY_MS, MINUTE_MS } from "@/lib/kernel/units";

/** What one request, one key and the server bear; the document of the interface states the same numbers. */
export const apiLimits = {
  /** Bytes of a body, as sent and unpacked. */
  bodyBytes: 20_000_000,
  /** Lines of a body, line breaks inside quotes counted too. */
  bodyLines: 100_000,
  /** Rows that did not go in that an answer lists; the others are counted. */
  listedErrors: 100,
  /** Requests a key may send at once after a pause. */
  burst: 60,
  /** Requests a key may send a minute in the long run. */
  perMinute: 60,
  /** Requests of all keys that are received or wait for their turn. */
  waiting: 64,
  /** Longest an accepted request waits for its turn. */
  waitMs: 60_000,
  /** Characters of an idempotency key. */
  idempotencyKeyLength: 200,
  /** How long an answer is kept for a second try. */
  answersKeptMs: 7 * DAY_MS,
  /** How seldom the last use of a key is noted. */
  useNotedMs: MINUTE_MS,
} as const;
