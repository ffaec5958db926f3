import { posix } from "node:path";
import { describe, expect, it } from "vitest";
import { importsOf, type SourceFile, sourceFiles } from "./source-files";

type Floor = { readonly path: string; readonly mayImport: readonly string[]; readonly packages: readonly string[] };

/** The floors, lowest first: an arrow goes down only. `node:` modules are allowed where 'node:' stands. */
const floors: readonly Floor[] = [
  { path: "lib/kernel", mayImport: [], packages: ["temporal-polyfill"] },
  { path: "lib/statistics", mayImport: [], packages: ["simple-statistics", "@stdlib/"] },
  { path: "lib/records", mayImport: ["lib/kernel"], packages: ["zod"] },
  { path: "lib/settings", mayImport: ["lib/kernel"], packages: ["zod"] },
  { path: "lib/import", mayImport: ["lib/kernel", "lib/records"], packages: ["zod", "csv-parse", "saxes"] },
  { path: "lib/analyse", mayImport: ["lib/kernel", "lib/records", "lib/settings", "lib/statistics"], packages: [] },
  {
    path: "lib/rank",
    mayImport: ["lib/kernel", "lib/records", "lib/settings", "lib/statistics", "lib/analyse"],
    packages: ["zod"],
  },
  {
    path: "lib/report",
    mayImport: ["lib/kernel", "lib/records", "lib/analyse", "lib/rank"],
    packages: ["zod", "csv-stringify"],
  },
  {
    path: "db",
    mayImport: ["lib/kernel", "lib/records"],
    packages: ["drizzle-orm", "drizzle-kit", "better-sqlite3", "node:"],
  },
  {
    path: "lib/services",
    mayImport: [
      "lib/kernel",
      "lib/records",
      "lib/settings",
      "lib/import",
      "lib/analyse",
      "lib/rank",
      "lib/report",
      "db",
    ],
    packages: ["zod", "csv-parse", "csv-stringify", "iconv-lite", "yauzl", "node:"],
  },
  {
    path: "app",
    mayImport: ["lib/kernel", "lib/services"],
    packages: [
      "next",
      "react",
      "react-dom",
      "@tremor/react",
      "server-only",
      "zod",
      "commander",
      "d3-",
      "topojson-client",
      "world-atlas",
      "node:",
    ],
  },
  { path: "seed", mayImport: ["lib/kernel", "lib/records", "lib/services"], packages: ["node:"] },
];

/** Types may be taken from lower floors by the doors, since a view is made of them; values may not. */
const typesOnly: Readonly<Record<string, readonly string[]>> = {
  app: ["lib/records", "lib/settings", "lib/import", "lib/analyse", "lib/rank"],
};

const pureFloors = floors.map((floor) => floor.path).filter((path) => /^lib\/(?!services)/.test(path));
const bannedEffects = [
  [/\bDate\.now\b/, "Date.now"],
  [/\bnew Date\(\s*\)/, "new Date()"],
  [/\bMath\.random\b/, "Math.random"],
  [/\bprocess\./, "process"],
  [/\bfetch\(/, "fetch"],
  [/\bperformance\.now\b/, "performance.now"],
] as const;

const files = sourceFiles(
  floors
    .map((floor) => floor.path)
    .filter((path) => !path.startsWith("lib/"))
    .concat("lib"),
);

function floorOf(path: string): Floor | undefined {
  return floors.find((floor) => path === floor.path || path.startsWith(`${floor.path}/`));
}

function targetOf(
  file: SourceFile,
  specifier: string,
): { kind: "own"; path: string } | { kind: "package"; name: string } {
  if (specifier.startsWith("@/")) return { kind: "own", path: specifier.slice(2) };
  if (specifier.startsWith(".")) return { kind: "own", path: posix.join(posix.dirname(file.path), specifier) };
  return { kind: "package", name: specifier };
}

function isTypeImport(file: SourceFile, specifier: string): boolean {
  const escaped = specifier.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
  const statements = [
    ...file.text.matchAll(new RegExp(`(import|export)\\s+(type\\s)?[^;]*?from\\s+"${escaped}"`, "g")),
  ];
  return statements.length > 0 && statements.every((statement) => statement[2] !== undefined);
}

function strayImports(file: SourceFile): string[] {
  const floor = floorOf(file.path);
  if (!floor) return [`${file.path} stands on no floor`];
  return importsOf(file).flatMap((specifier) => {
    const target = targetOf(file, specifier);
    if (target.kind === "package") {
      const allowed = floor.packages.some(
        (name) =>
          target.name === name || target.name.startsWith(name.endsWith("/") || /[:-]$/.test(name) ? name : `${name}/`),
      );
      return allowed ? [] : [`${file.path} imports the package ${target.name}`];
    }
    const below = floorOf(target.path);
    if (!below)
      return /\.(css|json|woff2)$/.test(target.path)
        ? []
        : [`${file.path} imports ${target.path}, which is on no floor`];
    const allowed =
      below === floor ||
      floor.mayImport.includes(below.path) ||
      (typesOnly[floor.path]?.includes(below.path) === true && isTypeImport(file, specifier));
    return allowed ? [] : [`${file.path} imports ${target.path}`];
  });
}

describe("the floors of the house", () => {
  it("has sources on every floor", () => {
    const empty = floors.filter((floor) => !files.some((file) => floorOf(file.path) === floor));
    expect(empty.map((floor) => floor.path)).toEqual([]);
  });

  it("lets every import arrow go down only", () => {
    expect(files.flatMap(strayImports)).toEqual([]);
  });

  it("keeps the pure core free of clock, chance, files and network", () => {
    const core = files.filter((file) => pureFloors.includes(floorOf(file.path)?.path ?? ""));
    const found = core.flatMap((file) =>
      bannedEffects.filter(([pattern]) => pattern.test(file.text)).map(([, name]) => `${file.path} uses ${name}`),
    );
    expect(found).toEqual([]);
  });

  it("reads the environment in two places only", () => {
    const readers = files
      .filter((file) => /process\.env/.test(file.text))
      .map((file) => file.path)
      .sort();
    expect(readers).toEqual(["app/_cli/main.ts", "app/_server/context.ts"]);
  });

  it("imports Tremor in the shared parts only", () => {
    const users = files.filter((file) => importsOf(file).includes("@tremor/react")).map((file) => file.path);
    expect(users.filter((path) => !path.startsWith("app/_parts/"))).toEqual([]);
    expect(users.length).toBeGreaterThan(0);
  });

  it("lets a client component import values of app and the kernel only", () => {
    const clients = files.filter((file) => /^["']use client["']/.test(file.text.trimStart()));
    const stray = clients.flatMap((file) =>
      importsOf(file)
        .filter((specifier) => /^@\/(lib\/(?!kernel)|db)/.test(specifier) && !isTypeImport(file, specifier))
        .map((specifier) => `${file.path}: ${specifier}`),
    );
    expect(stray).toEqual([]);
  });
});
