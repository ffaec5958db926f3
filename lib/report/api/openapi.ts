import { z } from "zod";
import { columnsOf, naturalKeys, requiredColumnsOf, rowSchemas } from "@/lib/records/files";
import { exampleRows } from "@/lib/report/api/examples";
import { apiLimits } from "@/lib/report/api/limits";
import { PROBLEM_ROOT, type ProblemName, problems } from "@/lib/report/api/problems";
import { answerSchema, problemSchema, type SentKind, sentKinds } from "@/lib/report/api/shapes";

/** A value that JSON can hold. */
export type Json = string | number | boolean | null | readonly Json[] | { readonly [name: string]: Json };

/**
 * The interface as an OpenAPI 3.1 document, made from the row schemas, the answer's schemas, the problems and the limits.
 *
 * Source: OpenAPI Specification 3.1.0 (from memory); JSON Schema 2020-12; RFC 9457 for problems.
 */
export function openApiDocument() {
  return {
    openapi: "3.1.0",
    info: {
      title: "Rafterline",
      version: "1",
      description: about(),
    },
    servers: [{ url: "/", description: "This server" }],
    security: [{ key: [] }],
    paths: {
      ...Object.fromEntries(sentKinds.map((kind) => [`/api/v1/${kind}`, { post: sending(kind) }])),
      "/api/v1/openapi.json": { get: documentOperation() },
      [`${PROBLEM_ROOT}{name}`]: { get: problemOperation() },
    },
    components: {
      securitySchemes: {
        key: { type: "http", scheme: "bearer", description: "A key of a site or portfolio, made on the settings page" },
      },
      schemas: {
        ...Object.fromEntries(sentKinds.map((kind) => [rowNames[kind], rowJsonSchema(kind)])),
        Answer: plain(z.toJSONSchema(answerSchema)),
        Problem: plain(z.toJSONSchema(problemSchema)),
      },
    },
  };
}

const rowNames = { readings: "ReadingRow", events: "EventRow", work: "WorkRow" } as const;

function about(): string {
  const { bodyBytes, bodyLines, perMinute, burst } = apiLimits;
  return `Takes readings, events and work from sites. A body holds at most ${bodyBytes / 1e6} MB, packed and unpacked, and ${bodyLines.toLocaleString("en")} lines; a key sends at most ${perMinute} requests a minute, ${burst} of them at once. Sending the same rows again changes nothing.`;
}

function sending(kind: SentKind) {
  const schema = { $ref: `#/components/schemas/${rowNames[kind]}` };
  return {
    operationId: `send_${kind}`,
    summary: `Send ${kind}`,
    description: `All good rows of the body are stored as one import, or none. A row is known by ${naturalKeys[kind].join(", ")}: the same row again is a duplicate and changes nothing, other values under the same key are a conflict and the stored row stays unless replace is yes.`,
    parameters: [...parameters],
    requestBody: {
      required: true,
      content: {
        "application/x-ndjson": {
          schema: { ...schema, description: "One such object a line" },
          example: exampleRows[kind].jsonLines,
        },
        "application/jsonl": { schema: { ...schema, description: "One such object a line" } },
        "text/csv": {
          schema: { type: "string", description: "A header line with the names of the columns, then one row a line" },
          example: exampleRows[kind].csv,
        },
      },
    },
    responses: {
      200: {
        description: "At least one row went in or was there already, or there was none; errors lists the others",
        headers: {
          "Idempotency-Replayed": {
            description: "true when this is the kept answer to an earlier request with the same Idempotency-Key",
            schema: { type: "string", enum: ["true"] },
          },
        },
        content: { "application/json": { schema: { $ref: "#/components/schemas/Answer" } } },
      },
      ...problemResponses([
        "malformed-request",
        "no-valid-key",
        "not-found",
        "wrong-method",
        "idempotency-key-reused",
        "still-in-progress",
        "too-large",
        "unknown-media-type",
        "nothing-usable",
        "too-many-requests",
        "unexpected-failure",
        "busy",
        "no-room",
      ]),
    },
  };
}

const parameters = [
  {
    name: "mapping",
    in: "query",
    description: "Name of a saved mapping, or NAME@VERSION, by which a foreign table is read",
    schema: { type: "string", maxLength: 220 },
  },
  {
    name: "replace",
    in: "query",
    description: "yes lets rows that differ from stored ones of the same key take their place",
    schema: { type: "string", enum: ["no", "yes"], default: "no" },
  },
  {
    name: "fold",
    in: "query",
    description: "Which of the two a wall time means that the clocks showed twice; without it such rows are refused",
    schema: { type: "string", enum: ["refuse", "first", "second"], default: "refuse" },
  },
  {
    name: "dates",
    in: "query",
    description: "Order of day and month in dates that are not ISO 8601, where the body itself does not show it",
    schema: { type: "string", enum: ["year_first", "day_first", "month_first"] },
  },
  {
    name: "decimal",
    in: "query",
    description: "Decimal sign of numbers, where the body itself does not show it",
    schema: { type: "string", enum: ["point", "comma"] },
  },
  {
    name: "Idempotency-Key",
    in: "header",
    description: `A text of your own for this request; a second try with it within ${apiLimits.answersKeptMs / 86_400_000} days gets the first answer`,
    schema: { type: "string", minLength: 1, maxLength: apiLimits.idempotencyKeyLength, pattern: "^[!-~]+$" },
  },
] as const;

function documentOperation() {
  return {
    operationId: "show_document",
    summary: "This document",
    security: [],
    responses: {
      200: { description: "This document", content: { "application/json": { schema: { type: "object" } } } },
    },
  };
}

function problemOperation() {
  return {
    operationId: "show_problem",
    summary: "What a kind of problem means",
    security: [],
    parameters: [{ name: "name", in: "path", required: true, schema: { type: "string", enum: Object.keys(problems) } }],
    responses: {
      200: { description: "Title and meaning", content: { "text/plain": { schema: { type: "string" } } } },
      ...problemResponses(["not-found"]),
    },
  };
}

/** Responses by status; problems of one status share one. */
function problemResponses(names: readonly ProblemName[]) {
  const byStatus = new Map<number, ProblemName[]>();
  for (const name of names) {
    const { status } = problems[name];
    byStatus.set(status, [...(byStatus.get(status) ?? []), name]);
  }
  return Object.fromEntries(
    [...byStatus].map(([status, same]) => [
      status,
      {
        description: same.map((name) => `${problems[name].title} (${PROBLEM_ROOT}${name})`).join("; "),
        ...(headersOf[status] ? { headers: headersOf[status] } : {}),
        content: { "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } } },
      },
    ]),
  );
}

const retryAfter = {
  "Retry-After": { description: "Seconds to wait", schema: { type: "integer", minimum: 1 } },
};
const headersOf: Readonly<Record<number, Readonly<Record<string, Json>>>> = {
  401: { "WWW-Authenticate": { description: "Bearer", schema: { type: "string" } } },
  405: { Allow: { description: "Methods this address takes", schema: { type: "string" } } },
  429: retryAfter,
  503: retryAfter,
};

/** A row as JSON sends it: optional columns may be left out, columns nobody knows are left aside. */
function rowJsonSchema(kind: SentKind) {
  const { additionalProperties: _strict, ...schema } = plain(
    z.toJSONSchema(rowSchemas[kind], { io: "output", unrepresentable: "any" }),
  );
  const required = requiredColumnsOf(kind);
  return { ...schema, required, description: `A row of ${kind}.csv; ${columnsOf(kind).length} columns` };
}

/** The dialect is stated once for the whole document by OpenAPI itself. */
function plain({ $schema: _dialect, ...schema }: z.core.JSONSchema.BaseSchema) {
  return schema;
}
