import { busy } from "@/lib/services/api/problem";

/** Bounds how many requests are inside at once, and lets them do their work one at a time, in the order they ask. */
export class WaitingRoom {
  readonly #places: number;
  readonly #waitMs: number;
  readonly #clock: () => number;
  #inside = 0;
  #last: Promise<void> = Promise.resolve();

  constructor({ places, waitMs, clock }: { places: number; waitMs: number; clock: () => number }) {
    this.#places = places;
    this.#waitMs = waitMs;
    this.#clock = clock;
  }

  /** Runs `visit` inside; throws Refused busy when every place is taken. */
  async admit<Result>(visit: () => Promise<Result>): Promise<Result> {
    if (this.#inside >= this.#places) throw busy("too many requests wait; nothing of this request was stored");
    this.#inside += 1;
    try {
      return await visit();
    } finally {
      this.#inside -= 1;
    }
  }

  /** Runs `work` when all that asked before have ended; throws Refused busy when that took too long. */
  async inTurn<Result>(work: () => Promise<Result>): Promise<Result> {
    const cameAt = this.#clock();
    const before = this.#last;
    let done = () => {};
    this.#last = new Promise<void>((resolve) => {
      done = resolve;
    });
    await before;
    try {
      if (this.#clock() - cameAt > this.#waitMs) {
        throw busy("the requests before this one took too long; nothing of it was stored");
      }
      return await work();
    } finally {
      done();
    }
  }
}
