import { Validator } from "@seriousme/openapi-schema-validator";
import { describe, expect, it } from "vitest";
import { columnsOf, requiredColumnsOf } from "@/lib/records/files";
import { exampleRows } from "@/lib/report/api/examples";
import { apiLimits } from "@/lib/report/api/limits";
import { openApiDocument } from "@/lib/report/api/openapi";
import { problemPage, problems } from "@/lib/report/api/problems";
import { sentKinds } from "@/lib/report/api/shapes";
import { schemaErrors, servedDocument } from "../../../app/api/documented";

const rowNames = { readings: "ReadingRow", events: "EventRow", work: "WorkRow" } as const;

describe("the OpenAPI document", () => {
  it("is valid OpenAPI 3.1", async () => {
    const validator = new Validator();
    const result = await validator.validate(JSON.parse(JSON.stringify(openApiDocument())));
    expect(result.errors ?? []).toEqual([]);
    expect(result.valid).toBe(true);
    expect(validator.version).toBe("3.1");
  });

  it.each(sentKinds)("names every column of %s, and asks for just those that a row needs", (kind) => {
    const schema = servedDocument.components.schemas[rowNames[kind]];
    expect(Object.keys(schema.properties)).toEqual(columnsOf(kind));
    expect(schema.required).toEqual(requiredColumnsOf(kind));
    for (const column of Object.values<{ description?: string }>(schema.properties)) {
      expect(column.description?.length).toBeGreaterThan(5);
    }
  });

  it("gives the ranges and words of the row schemas", () => {
    const { ReadingRow, EventRow, WorkRow } = servedDocument.components.schemas;
    expect(ReadingRow.properties.signal_pct).toMatchObject({ minimum: 0, maximum: 400, type: ["number", "string"] });
    expect(EventRow.properties.condition.enum).toEqual(["fire", "fault", "disablement", "test"]);
    expect(JSON.stringify(WorkRow.properties.reactive.type)).toContain("boolean");
  });

  it.each(sentKinds)("has examples of %s that fit its own schema", (kind) => {
    const lines = exampleRows[kind].jsonLines.trim().split("\n");
    expect(lines.length).toBe(2);
    for (const line of lines) expect(schemaErrors(rowNames[kind], JSON.parse(line))).toEqual([]);
    expect(schemaErrors(rowNames[kind], { detector_id: 7 })).not.toEqual([]);
  });

  it("documents each problem under its status, and each has a page", () => {
    const { responses } = servedDocument.paths["/api/v1/readings"].post;
    for (const [name, { status, title, meaning }] of Object.entries(problems)) {
      expect(responses[status]?.description).toContain(`/api/v1/problems/${name}`);
      expect(problemPage(name)).toContain(title);
      expect(problemPage(name)).toContain(meaning);
    }
    expect(problemPage("toString")).toBeNull();
  });

  it("states the limits that hold", () => {
    const { description } = servedDocument.info;
    expect(description).toContain(`${apiLimits.bodyBytes / 1e6} MB`);
    expect(description).toContain("100,000 lines");
    expect(description).toContain(`${apiLimits.perMinute} requests a minute`);
  });
});
