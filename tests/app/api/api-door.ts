import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import type { ApiDoor } from "@/app/_server/api/door";
import { RateLimiter } from "@/app/_server/api/rate-limiter";
import { sendRecords } from "@/app/_server/api/send-records";
import { WaitingRoom } from "@/app/_server/api/waiting-room";
import { openStore } from "@/db/client";
import { createApiKey } from "@/lib/services/api-keys";
import type { Context } from "@/lib/services/context";
import { importTexts, makeContext, NOW, someOf } from "../../fixtures/import-folder";

/** Where the requests of these tests go to. */
export const home = "http://127.0.0.1:3000";

/** A door over a store in a folder of its own that holds the sites and detectors of the small files, with a key for site S1. */
export type TestDoor = {
  readonly door: ApiDoor;
  readonly owner: Context;
  readonly folder: string;
  readonly secret: string;
  /** Milliseconds the clock of the door is ahead; a test may turn it. */
  readonly clock: { aheadMs: number };
  close(): void;
};

/** Opens a {@link TestDoor}; `burst` requests may come at once. */
export async function openTestDoor({ burst = 1_000, places = 64 } = {}): Promise<TestDoor> {
  const folder = mkdtempSync(path.join(tmpdir(), "rafterline-api-"));
  const store = openStore(path.join(folder, "store.sqlite"));
  const owner = makeContext({ store });
  await importTexts(owner, someOf("sites.csv", "detectors.csv"));
  const { secret } = await createApiKey(owner, { name: "Gateway", scope: "site", scopeId: "S1" });
  const clock = { aheadMs: 0 };
  const door: ApiDoor = {
    context: () => ({ store, now: NOW + clock.aheadMs, permissions: new Set(["import"] as const) }),
    limiter: new RateLimiter({ burst, perMinute: 60 }),
    room: new WaitingRoom({ places, waitMs: 600_000, clock: Date.now }),
    stagingRoot: path.join(folder, "sent"),
  };
  return {
    door,
    owner,
    folder,
    secret,
    clock,
    close: () => {
      store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** What a test sends; a header of null is left out. */
export type Sent = {
  readonly kind?: string;
  readonly query?: string;
  readonly body?: string | Uint8Array<ArrayBuffer> | ReadableStream<Uint8Array<ArrayBuffer>>;
  readonly secret?: string | null;
  readonly headers?: Readonly<Record<string, string | null>>;
};

/** Sends records to a door; CSV of readings with the door's own key, unless told otherwise. */
export function send({ door, secret: own }: TestDoor, sent: Sent): Promise<Response> {
  const { kind = "readings", query = "", body, secret = own, headers = {} } = sent;
  const all = {
    "content-type": "text/csv",
    ...(secret === null ? {} : { authorization: `Bearer ${secret}` }),
    ...headers,
  };
  const present = Object.entries(all).flatMap(([name, value]) => (value === null ? [] : [[name, value] as const]));
  // A body that is a stream needs `duplex`, which the types of the browser do not know.
  const init: RequestInit & { duplex: "half" } = {
    method: "POST",
    headers: Object.fromEntries(present),
    duplex: "half",
    ...(body === undefined ? {} : { body }),
  };
  const request = new Request(`${home}/api/v1/${kind}${query}`, init);
  return sendRecords(request, { door, kind });
}

/** Readings stored, of all detectors together. */
export function countReadings({ owner }: TestDoor): number {
  return owner.store.sqlite.prepare<[], number>("SELECT sum(count) FROM reading_chunks").pluck().get() ?? 0;
}

/** Imports noted so far, those that brought nothing too. */
export function countImports({ owner }: TestDoor): number {
  return owner.store.sqlite.prepare<[], number>("SELECT count(*) FROM imports").pluck().get() ?? 0;
}
