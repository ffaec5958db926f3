import { apiLimits } from "@/lib/report/api/limits";
import { openApiDocument } from "@/lib/report/api/openapi";
import { problemPage } from "@/lib/report/api/problems";
import { type SentKind, sentKinds } from "@/lib/report/api/shapes";

/** What one request, one key and the server bear; see {@link apiLimits}. */
export const interfaceLimits = apiLimits;

/** The OpenAPI document of the interface as JSON. */
export function interfaceDocument(): string {
  return `${JSON.stringify(openApiDocument(), null, 2)}\n`;
}

/** What a kind of problem means, as plain text; null when there is none of this name. */
export function problemText(name: string): string | null {
  return problemPage(name);
}

/** The kind of records an address names; null when it names none that can be sent. */
export function sentKindOf(text: string): SentKind | null {
  return sentKinds.find((kind) => kind === text) ?? null;
}
