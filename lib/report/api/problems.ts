/** What a refused request can come to, by the last part of its problem type: status, title, and what it means for the sender. */
export const problems = {
  "malformed-request": {
    status: 400,
    title: "The request cannot be read",
    meaning:
      "A parameter, a header or the body is not of the form this interface takes. Mend it; sending it again as it is does not help.",
  },
  "no-valid-key": {
    status: 401,
    title: "A valid key is needed",
    meaning:
      "The request has no bearer key, or one that does not exist or was revoked; the answer is the same for each. Send 'Authorization: Bearer' with a key that stands.",
  },
  "not-found": {
    status: 404,
    title: "There is nothing here",
    meaning: "The address, or the mapping the request names, does not exist.",
  },
  "wrong-method": {
    status: 405,
    title: "This address does not take this method",
    meaning: "The header Allow names the methods it takes.",
  },
  "idempotency-key-reused": {
    status: 409,
    title: "This idempotency key belongs to another request",
    meaning:
      "A request with this Idempotency-Key and other contents was answered already. Use a new one for each new request.",
  },
  "still-in-progress": {
    status: 409,
    title: "The same request is still in progress",
    meaning: "A request with this Idempotency-Key has not ended yet. Wait, then send it again to have its answer.",
  },
  "too-large": {
    status: 413,
    title: "The body is too large",
    meaning: "Split the rows over several requests, or import the file on the page or the command line.",
  },
  "unknown-media-type": {
    status: 415,
    title: "The body is of a form that is not taken",
    meaning: "Send JSON lines (application/x-ndjson) or CSV (text/csv), plain or with Content-Encoding: gzip.",
  },
  "nothing-usable": {
    status: 422,
    title: "No row could go in",
    meaning:
      "The body could be received, but it is not a table of this kind, or every row of it was refused or differs from what is stored. The list of errors says why, row by row. Where dates or numbers can be read in two ways, say which by the parameters dates and decimal.",
  },
  "too-many-requests": {
    status: 429,
    title: "This key sends too often",
    meaning: "Wait for the seconds that Retry-After names. Send more rows in fewer requests.",
  },
  "unexpected-failure": {
    status: 500,
    title: "The server failed",
    meaning: "A mistake of the server; nothing of this request was stored. Sending it again is safe.",
  },
  busy: {
    status: 503,
    title: "The store is busy",
    meaning:
      "Another import is being written, or too many requests wait. Nothing of this request was stored. Send it again after the seconds that Retry-After names.",
  },
  "no-room": {
    status: 503,
    title: "The store cannot be written",
    meaning:
      "The disk of the server is full, or its store cannot be written. Nothing of this request was stored. Tell who runs the server; sending it again later is safe.",
  },
} as const;

/** Last part of a problem type; a key of {@link problems}. */
export type ProblemName = keyof typeof problems;

/** Where the page of a problem stands; its address is the `type` of the problem. */
export const PROBLEM_ROOT = "/api/v1/problems/";

/** The page of a problem as plain text: title, status, meaning; null when there is no problem of this name. */
export function problemPage(name: string): string | null {
  const [, found] = Object.entries(problems).find(([known]) => known === name) ?? [];
  return found ? `${found.title} (HTTP status ${found.status})\n\n${found.meaning}\n` : null;
}
