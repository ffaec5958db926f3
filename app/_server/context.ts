import "server-only";
import path from "node:path";
import { connection } from "next/server";
import { z } from "zod";
import { type Context, openContext } from "@/lib/services/context";

const environment = z.object({ RAFTERLINE_DB: z.string().min(1).default("rafterline.sqlite") });

declare global {
  var rafterlineContext: Context | undefined;
}

/** What every verb is given, for this request: the store of RAFTERLINE_DB, opened once, and the moment of the call. */
export async function currentContext(): Promise<Context> {
  await connection();
  return backgroundContext();
}

/** The same outside of a request, for work that goes on after its answer was sent. */
export function backgroundContext(): Context {
  const now = Date.now();
  // Kept on globalThis, since a reloaded module in development would open the same file again.
  globalThis.rafterlineContext ??= openContext(storeFile(), { now });
  return { ...globalThis.rafterlineContext, now };
}

/** Path of the store this server works on, absolute. */
export function storeFile(): string {
  return path.resolve(environment.parse(process.env).RAFTERLINE_DB);
}
