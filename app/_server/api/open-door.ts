import "server-only";
import path from "node:path";
import type { ApiDoor } from "@/app/_server/api/door";
import { RateLimiter } from "@/app/_server/api/rate-limiter";
import { WaitingRoom } from "@/app/_server/api/waiting-room";
import { backgroundContext, storeFile } from "@/app/_server/context";
import { removeLeftovers } from "@/app/_server/staging";
import { interfaceLimits } from "@/lib/services/api/interface";

declare global {
  var rafterlineApiDoor: ApiDoor | undefined;
}

/** The one door of this server to its interface; kept on globalThis, since a reloaded module would count anew. */
export function apiDoor(): ApiDoor {
  globalThis.rafterlineApiDoor ??= openDoor();
  return globalThis.rafterlineApiDoor;
}

function openDoor(): ApiDoor {
  const file = storeFile();
  const stagingRoot = path.join(path.dirname(file), `.${path.basename(file)}-sent`);
  void removeLeftovers(stagingRoot, { now: Date.now() });
  const { burst, perMinute, waiting, waitMs } = interfaceLimits;
  return {
    // Whoever holds a key may send records, whatever the people of this server may do.
    context: () => ({ ...backgroundContext(), permissions: new Set(["import"] as const) }),
    limiter: new RateLimiter({ burst, perMinute }),
    room: new WaitingRoom({ places: waiting, waitMs, clock: Date.now }),
    stagingRoot,
  };
}
