import { readdirSync, readFileSync } from "node:fs";
import { join, relative, sep } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";

/** Root of the checkout. */
export const root = fileURLToPath(new URL("../..", import.meta.url));

/** A source file with its text and its path from the root, written with forward slashes. */
export type SourceFile = { readonly path: string; readonly text: string };

/** Every file below the given folders whose name ends as asked. */
export function sourceFiles(folders: readonly string[], ending = /\.tsx?$/): SourceFile[] {
  return folders
    .flatMap((folder) =>
      folder === "." ? readdirSync(root).map((name) => join(root, name)) : walk(join(root, folder)),
    )
    .map((full) => relative(root, full).split(sep).join("/"))
    .filter((path) => ending.test(path) && !path.startsWith("db/migrations/") && !path.endsWith(".d.ts"))
    .map((path) => ({ path, text: readFileSync(join(root, path), "utf8") }));
}

/** Modules a file imports, by their specifier. */
export function importsOf(file: SourceFile): string[] {
  return ts.preProcessFile(file.text, true, true).importedFiles.map((imported) => imported.fileName);
}

/** The parsed file, with parents set. */
export function parse(file: SourceFile): ts.SourceFile {
  const kind = file.path.endsWith("x") ? ts.ScriptKind.TSX : ts.ScriptKind.TS;
  return ts.createSourceFile(file.path, file.text, ts.ScriptTarget.ES2023, true, kind);
}

function walk(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const full = join(folder, entry.name);
    return entry.isDirectory() ? walk(full) : [full];
  });
}
