import { PROBLEM_ROOT, type ProblemName, problems } from "@/lib/report/api/problems";
import type { ApiAnswer, ApiProblem } from "@/lib/report/api/shapes";

/** Status, headers and body of an answer of the interface, ready to be sent. */
export type ApiReply = {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string;
};

/** A request that is refused: which problem, in words what is wrong, and what the answer carries beside. */
export class Refused extends Error {
  readonly problem: ProblemName;
  readonly headers: Readonly<Record<string, string>>;
  readonly outcome: ApiAnswer | null;

  constructor(
    problem: ProblemName,
    detail: string,
    { headers = {}, outcome = null }: { headers?: Readonly<Record<string, string>>; outcome?: ApiAnswer | null } = {},
  ) {
    super(detail);
    this.name = "Refused";
    this.problem = problem;
    this.headers = headers;
    this.outcome = outcome;
  }
}

/** A refusal as problem details (RFC 9457); `instance` is the path of the request, without its query. */
export function problemReply(
  { problem, message, headers, outcome }: Refused,
  { instance }: { instance: string },
): ApiReply {
  const { status, title } = problems[problem];
  const type = `${PROBLEM_ROOT}${problem}`;
  const body: ApiProblem = { type, title, status, detail: message, instance, ...outcome };
  return {
    status,
    headers: { "content-type": "application/problem+json", "cache-control": "no-store", ...headers },
    body: `${JSON.stringify(body)}\n`,
  };
}

/** The refusal of a missing, unknown or revoked key; the same for each. */
export function noValidKey(): Refused {
  return new Refused("no-valid-key", "send 'Authorization: Bearer' with a key that stands", {
    headers: { "www-authenticate": "Bearer" },
  });
}

/** The refusal of a request that cannot be served just now. */
export function busy(detail: string): Refused {
  return new Refused("busy", detail, { headers: { "retry-after": "10" } });
}
