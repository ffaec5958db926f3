import ts from "typescript";
import { describe, expect, it } from "vitest";
import { parse, type SourceFile, sourceFiles } from "./source-files";

const product = sourceFiles(["app", "lib", "db", "seed"]);
const tests = sourceFiles(["tests"]);
const FILE_LINES = 300;
const TEST_LINES = 400;
const FUNCTION_LINES = 60;
const MARKUP_LINES = 80;

/** The only files that may assert a type, each because a library or our own stored JSON forces it. */
const assertionHomes = ["lib/kernel/objects.ts", "lib/services/stored-result.ts"];

function linesOf(text: string): number {
  return text.trimEnd().split("\n").length;
}

function longFunctions(file: SourceFile): string[] {
  const source = parse(file);
  const found: string[] = [];
  const visit = (node: ts.Node) => {
    if (ts.isFunctionLike(node) && "body" in node && node.body) {
      const lines =
        source.getLineAndCharacterOfPosition(node.end).line -
        source.getLineAndCharacterOfPosition(node.getStart()).line +
        1;
      const limit = file.path.endsWith(".tsx") ? MARKUP_LINES : FUNCTION_LINES;
      if (lines > limit)
        found.push(`${file.path}:${source.getLineAndCharacterOfPosition(node.getStart()).line + 1} ${lines} lines`);
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function assertions(file: SourceFile): string[] {
  const source = parse(file);
  const found: string[] = [];
  const visit = (node: ts.Node) => {
    if (ts.isAsExpression(node) && node.type.getText() !== "const")
      found.push(`${file.path}: ${node.getText().slice(0, 60)}`);
    if (ts.isNonNullExpression(node)) found.push(`${file.path}: ${node.getText().slice(0, 60)}`);
    if (node.kind === ts.SyntaxKind.AnyKeyword) found.push(`${file.path}: any`);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function isExported(node: ts.Node): boolean {
  return (
    ts.canHaveModifiers(node) &&
    (ts.getModifiers(node) ?? []).some((modifier) => modifier.kind === ts.SyntaxKind.ExportKeyword)
  );
}

function undocumented(file: SourceFile): string[] {
  return parse(file)
    .statements.filter((statement) => isExported(statement) && ts.getJSDocCommentsAndTags(statement).length === 0)
    .map((statement) => `${file.path}: ${statement.getText().split("\n")[0]?.slice(0, 80)}`);
}

describe("the style of the house", () => {
  it("keeps files short enough to read", () => {
    const long = [
      ...product.filter((file) => linesOf(file.text) > FILE_LINES),
      ...tests.filter((file) => linesOf(file.text) > TEST_LINES),
    ];
    expect(long.map((file) => `${file.path} ${linesOf(file.text)}`)).toEqual([]);
  });

  it("keeps functions short enough to read", () => {
    expect(product.flatMap(longFunctions)).toEqual([]);
  });

  it("asserts no type, but in the named places", () => {
    expect(product.filter((file) => !assertionHomes.includes(file.path)).flatMap(assertions)).toEqual([]);
  });

  it("says of every export of lib and db what it is", () => {
    expect(product.filter((file) => /^(lib|db)\//.test(file.path)).flatMap(undocumented)).toEqual([]);
  });

  it("leaves nothing to be done later", () => {
    const marks = /\b(TODO|FIXME|XXX|HACK)\b/;
    const files = [...product, ...tests.filter((file) => !file.path.startsWith("tests/architecture/"))];
    expect(files.filter((file) => marks.test(file.text)).map((file) => file.path)).toEqual([]);
  });

  it("asks for the right on the first line of each verb", () => {
    const lax = product
      .filter((file) => file.path.startsWith("lib/services/"))
      .flatMap((file) => verbsWithoutRight(file));
    expect(lax).toEqual([]);
  });
});

/** Exported functions whose first parameter is the context and whose first statement is not requirePermission. */
function verbsWithoutRight(file: SourceFile): string[] {
  return parse(file).statements.flatMap((statement) => {
    if (!ts.isFunctionDeclaration(statement) || !isExported(statement) || !statement.body) return [];
    if (statement.parameters[0]?.type?.getText() !== "Context") return [];
    const first = statement.body.statements[0]?.getText() ?? "";
    return first.startsWith("requirePermission(") ? [] : [`${file.path}: ${statement.name?.getText()}`];
  });
}
