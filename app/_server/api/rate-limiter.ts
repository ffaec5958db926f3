/**
 * Lets each sender through `burst` times at once and `perMinute` times a minute in the long run; kept in memory, so it
 * begins anew with the server. Token bucket.
 */
export class RateLimiter {
  readonly #buckets = new Map<number, { tokens: number; at: number }>();
  readonly #burst: number;
  readonly #perMs: number;

  constructor({ burst, perMinute }: { burst: number; perMinute: number }) {
    this.#burst = burst;
    this.#perMs = perMinute / 60_000;
  }

  /** Counts a request of a sender at the Instant `now`; 0 when it may pass, else the seconds until one may. */
  take(sender: number, now: number): number {
    const before = this.#buckets.get(sender) ?? { tokens: this.#burst, at: now };
    const passed = Math.max(0, now - before.at);
    const tokens = Math.min(this.#burst, before.tokens + passed * this.#perMs);
    const passes = tokens >= 1;
    this.#buckets.set(sender, { tokens: passes ? tokens - 1 : tokens, at: now });
    return passes ? 0 : Math.ceil((1 - tokens) / this.#perMs / 1_000);
  }
}
