/**
 * Whether a request that changes something comes from a page of this very server.
 *
 * A browser sends Origin with every POST, so a missing one is refused as well; another site cannot forge it.
 */
export function isSameOrigin(headers: Headers): boolean {
  const origin = headers.get("origin");
  const host = headers.get("host");
  if (origin === null || host === null || !URL.canParse(origin)) return false;
  return new URL(origin).host === host;
}
