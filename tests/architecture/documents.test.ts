import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { root, sourceFiles } from "./source-files";

/** What the top level may hold: the fixed list, and what git, npm and the framework insist on. */
const topLevel = [
  "README.md",
  "DEVELOPERS.md",
  "package.json",
  "tsconfig.json",
  "app",
  "lib",
  "db",
  "tests",
  "seed",
  "docs",
  "package-lock.json",
  "next.config.ts",
  "next-env.d.ts",
  "node_modules",
  "tsconfig.tsbuildinfo",
];

const documents = [
  ...sourceFiles(["docs"], /\.md$/),
  ...["README.md", "DEVELOPERS.md"].flatMap((name) => sourceFiles(["."], new RegExp(`^${name.replace(".", "\\.")}$`))),
];

describe("the documents", () => {
  it("keeps the top level to what was agreed", () => {
    const extra = readdirSync(root).filter(
      (name) => !name.startsWith(".") && !topLevel.includes(name) && !/\.sqlite(-wal|-shm)?$/.test(name),
    );
    expect(extra).toEqual([]);
  });

  it("names only paths that exist", () => {
    const missing = documents.flatMap((file) => {
      const quoted = [...file.text.matchAll(/`((?:app|lib|db|tests|seed|docs|\.ci)\/[A-Za-z0-9_./[\]-]*)`/g)].map(
        (match) => match[1] ?? "",
      );
      const links = [...file.text.matchAll(/\]\(([^)#:]+)(?:#[^)]*)?\)/g)].map((match) => match[1] ?? "");
      const here = file.path.includes("/") ? file.path.slice(0, file.path.lastIndexOf("/")) : ".";
      return [
        ...quoted.filter((path) => !existsSync(join(root, path))),
        ...links.filter((path) => !existsSync(join(root, here, path))),
      ].map((path) => `${file.path}: ${path}`);
    });
    expect(missing).toEqual([]);
  });

  it("opens the README with the job in one paragraph and shows a picture of the real screen", () => {
    const readme = documents.find((file) => file.path === "README.md")?.text ?? "";
    const [title, paragraph = ""] = readme.split("\n\n");
    expect(title).toBe("# Rafterline");
    expect(paragraph).toMatch(/beam smoke detector/);
    expect(readme).toMatch(/!\[[^\]]+\]\(docs\/[^)]+\.png\)/);
  });

  it("has a methods page for each finding kind", async () => {
    const { kindNames } = await import("@/lib/analyse/findings/registry");
    const absent = kindNames.filter(
      (kind) => !existsSync(join(root, "docs/methods", `${kind.replaceAll("_", "-")}.md`)),
    );
    expect(absent).toEqual([]);
  });
});
