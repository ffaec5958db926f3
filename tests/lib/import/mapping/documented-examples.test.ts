import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { TableEvidence } from "@/lib/import/mapping/evidence";
import { PhaseJoiner } from "@/lib/import/mapping/join-phases";
import { mappingSchema } from "@/lib/import/mapping/mapping";
import { rowMapper } from "@/lib/import/mapping/row-mapper";
import { settle } from "@/lib/import/mapping/settle";
import { unitsOf } from "@/lib/import/mapping/units";
import { columnsOf, fileKinds } from "@/lib/records/files";

const page = readFileSync(join(import.meta.dirname, "../../../../docs/mappings.md"), "utf8");

function block(language: string, name: string): string {
  return new RegExp(`\`\`\`${language} ${name}\\n([\\s\\S]*?)\`\`\``).exec(page)?.[1]?.trim() ?? "";
}

/** The canonical rows a documented mapping makes of its documented file. */
function rowsOf(name: string): string {
  const mapping = mappingSchema.parse(JSON.parse(block("json", name)));
  const [columns = [], ...rows] = block("text", name)
    .split("\n")
    .map((line) => line.split(";"));
  const evidence = new TableEvidence(mapping, columns);
  for (const [index, cells] of rows.entries()) evidence.take(cells, index + 2);
  const settled = settle(mapping, evidence);
  if (!settled.ok) throw new Error(settled.questions[0]?.reason);
  const mapper = rowMapper(settled.mapping, columns);
  const joiner = new PhaseJoiner(mapper.layout, { order: settled.rowOrder });
  const joined = rows.flatMap((cells, index) => {
    const mapped = mapper.map(cells);
    return mapped.outcome === "row" ? joiner.push(mapped, { line: index + 2, cells, flaw: null }).joined : [];
  });
  return [mapper.layout.header, ...[...joined, ...joiner.end().joined].map(({ cells }) => cells)]
    .map((cells) => cells.join(","))
    .join("\n");
}

describe("the page on mappings", () => {
  it.each(["events", "readings"])("shows the rows that its example of %s really gives", (name) => {
    expect(rowsOf(name).split("\n").toSorted()).toEqual(block("csv", name).split("\n").toSorted());
  });

  it("names every unit of every column", () => {
    for (const column of fileKinds.flatMap(columnsOf)) {
      const line = page
        .split("\n")
        .find((one) => one.startsWith("| `") && one.split("|")[1]?.includes(`\`${column}\``));
      for (const unit of unitsOf(column)) expect(line, `${column} in ${unit}`).toContain(`\`${unit}\``);
    }
  });
});
