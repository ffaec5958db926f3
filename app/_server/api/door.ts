import type { RateLimiter } from "@/app/_server/api/rate-limiter";
import type { WaitingRoom } from "@/app/_server/api/waiting-room";
import { interfaceDocument, problemText } from "@/lib/services/api/interface";
import { type ApiReply, noValidKey, problemReply, Refused } from "@/lib/services/api/problem";
import { type ApiKeyView, keyOfSecret, SECRET_PREFIX } from "@/lib/services/api-keys";
import type { Context } from "@/lib/services/context";

/** What the routes of the interface work with; the doors hand it in, so that tests can. */
export type ApiDoor = {
  /** A context for the moment of the call that may import and nothing else. */
  readonly context: () => Context;
  readonly limiter: RateLimiter;
  readonly room: WaitingRoom;
  /** Folder in which bodies wait, on the disk of the store. */
  readonly stagingRoot: string;
};

/**
 * The key a request is sent with, as long as it sends not too often.
 *
 * @throws Refused no-valid-key, too-many-requests, or malformed-request for a secret in the address
 */
export async function holderOf(request: Request, { context, limiter }: ApiDoor): Promise<ApiKeyView> {
  if (request.url.includes(SECRET_PREFIX)) {
    throw new Refused(
      "malformed-request",
      "the address holds a key, and addresses are kept in logs: revoke that key, and send the new one as 'Authorization: Bearer'",
    );
  }
  const [, secret] = /^Bearer +([A-Za-z0-9._~+/-]{1,200}=*)$/i.exec(request.headers.get("authorization") ?? "") ?? [];
  const now = context();
  const key = secret === undefined ? null : await keyOfSecret(now, { secret });
  if (!key) throw noValidKey();
  const waitS = limiter.take(key.id, now.now);
  if (waitS === 0) return key;
  const headers = { "retry-after": String(waitS) };
  throw new Refused("too-many-requests", `this key may send again in ${waitS} s`, { headers });
}

/** Runs a door of the interface; whatever it throws becomes a problem (RFC 9457). */
export async function answered(request: Request, door: () => Promise<ApiReply>): Promise<Response> {
  try {
    return responseOf(await door());
  } catch (thrown) {
    const { pathname } = new URL(request.url);
    return responseOf(problemReply(refusalOf(thrown), { instance: pathname }));
  }
}

/** GET /api/v1/openapi.json: the document of the interface; needs no key. */
export function showDocument(): Response {
  const headers = { "content-type": "application/json", "cache-control": "no-cache" };
  return responseOf({ status: 200, headers, body: interfaceDocument() });
}

/** GET /api/v1/problems/NAME: what a kind of problem means, in words. */
export function showProblem(request: Request, { name }: { name: string }): Promise<Response> {
  return answered(request, async () => {
    const body = problemText(name);
    if (body === null) throw new Refused("not-found", "there is no problem of this name");
    return { status: 200, headers: { "content-type": "text/plain; charset=utf-8" }, body };
  });
}

/** Any request to an address of the interface at which there is nothing. */
export function nothingHere(request: Request): Promise<Response> {
  return answered(request, async () => {
    throw new Refused("not-found", "there is nothing at this address; /api/v1/openapi.json lists all");
  });
}

/** Any request by a method its address does not take. */
export function wrongMethod(request: Request, { allow }: { allow: string }): Promise<Response> {
  return answered(request, async () => {
    throw new Refused("wrong-method", `this address takes ${allow}`, { headers: { allow } });
  });
}

function refusalOf(thrown: unknown): Refused {
  if (thrown instanceof Refused) return thrown;
  process.stderr.write(`${thrown instanceof Error ? thrown.stack : String(thrown)}\n`);
  return new Refused("unexpected-failure", "the server failed; nothing of this request was stored");
}

function responseOf({ status, headers, body }: ApiReply): Response {
  return new Response(body, { status, headers: { ...headers } });
}
