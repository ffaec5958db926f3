import { existsSync, readFileSync, realpathSync } from "node:fs";
import { dirname, join } from "node:path";
import type { Database } from "better-sqlite3";
import { readMigrationFiles } from "drizzle-orm/migrator";
import { AppError } from "@/lib/kernel/errors";

/**
 * Brings a store to the present version, all pending migrations in one transaction: they all apply or none does.
 *
 * @throws AppError invalid_input when the file is a database of another program or of a newer version
 */
export function migrateStore({ sqlite, file }: { sqlite: Database; file: string }): void {
  const known = readMigrationFiles({ migrationsFolder: migrationsFolder() });
  if (appliedUpTo(sqlite, file) === known.at(-1)?.folderMillis) return;
  sqlite.exec("BEGIN IMMEDIATE");
  try {
    // Another process may have migrated while this one waited for the lock, so the state is read again inside.
    const applied = appliedUpTo(sqlite, file);
    if (applied > (known.at(-1)?.folderMillis ?? 0)) {
      throw new AppError(
        "invalid_input",
        `${file} was written by a newer version of Rafterline; use that version, or name another store file`,
      );
    }
    sqlite.exec(`CREATE TABLE IF NOT EXISTS ${TABLE} (hash text NOT NULL, created_at integer NOT NULL)`);
    const note = sqlite.prepare<[string, number]>(`INSERT INTO ${TABLE} (hash, created_at) VALUES (?, ?)`);
    for (const migration of known.filter((one) => one.folderMillis > applied)) {
      for (const statement of migration.sql) sqlite.exec(statement);
      note.run(migration.hash, migration.folderMillis);
    }
    sqlite.exec("COMMIT");
  } catch (thrown) {
    if (sqlite.inTransaction) sqlite.exec("ROLLBACK");
    throw thrown;
  }
}

const TABLE = "rafterline_migrations";

function appliedUpTo(sqlite: Database, file: string): number {
  const tables = sqlite
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    .pluck()
    .all();
  if (tables.length === 0) return 0;
  if (!tables.includes(TABLE)) {
    throw new AppError("invalid_input", `${file} is a database of another program; name another store file`);
  }
  return sqlite.prepare<[], number | null>(`SELECT max(created_at) FROM ${TABLE}`).pluck().get() ?? 0;
}

let foundFolder: string | undefined;

/**
 * Folder of the generated migrations.
 *
 * It is sought upwards from the started script and from the working directory, and not beside this file: a bundler
 * moves the code of a server elsewhere, but the script that started it stays inside the installation.
 */
export function migrationsFolder(): string {
  if (foundFolder !== undefined) return foundFolder;
  const script = process.argv[1];
  const starts = [script === undefined || !existsSync(script) ? null : dirname(realpathSync(script)), process.cwd()];
  for (const start of starts) {
    for (let folder = start; folder !== null; folder = above(folder)) {
      if (!isInstallation(folder)) continue;
      foundFolder = join(folder, "db", "migrations");
      return foundFolder;
    }
  }
  throw new Error(`db/migrations not found above ${starts.join(" or ")}`);
}

/** The folder above; null at the top. A function of its own, since the bundler misses an import used in a for head. */
function above(folder: string): string | null {
  const parent = dirname(folder);
  return parent === folder ? null : parent;
}

function isInstallation(folder: string): boolean {
  const manifest = join(folder, "package.json");
  if (!existsSync(manifest) || !existsSync(join(folder, "db", "migrations", "meta", "_journal.json"))) return false;
  return /"name":\s*"rafterline"/.test(readFileSync(manifest, "utf8"));
}
