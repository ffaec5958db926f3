import Ajv2020 from "ajv/dist/2020.js";
import { expect } from "vitest";
import { interfaceDocument } from "@/lib/services/api/interface";

/** The document as it is served. */
export const servedDocument = JSON.parse(interfaceDocument());

const ajv = new Ajv2020({ strict: false, allErrors: true });
ajv.addSchema(servedDocument, "served");

/** Errors of a value against a schema of the document's components; empty when it fits. */
export function schemaErrors(name: string, value: unknown): string[] {
  const validate = ajv.getSchema(`served#/components/schemas/${name}`);
  if (!validate) throw new Error(`the document has no schema ${name}`);
  validate(value);
  return (validate.errors ?? []).map(({ instancePath, message }) => `${instancePath} ${message}`);
}

/** The body of an answer to a POST, after a check that the document promises just such an answer. */
export async function documentedBody(response: Response, kind = "readings") {
  const promised = servedDocument.paths[`/api/v1/${kind}`].post.responses[response.status];
  expect(promised, `status ${response.status} is documented`).toBeDefined();
  const [type = ""] = Object.keys(promised.content);
  expect(response.headers.get("content-type")).toBe(type);
  for (const name of Object.keys(promised.headers ?? {})) {
    if (name !== "Idempotency-Replayed") expect(response.headers.get(name), name).not.toBeNull();
  }
  const body = await response.json();
  expect(schemaErrors(promised.content[type].schema.$ref.split("/").at(-1), body)).toEqual([]);
  if (response.status !== 200) expect(body.status).toBe(response.status);
  return body;
}
