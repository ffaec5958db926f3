import { spawnSync } from "node:child_process";
import { readFileSync, rmSync } from "node:fs";
import Database from "better-sqlite3";

/**
 * Puts the lines of a file as text into a table without types or key: by the `sqlite3` shell, or, where it is not
 * installed, by the same inserts in this process, which `by` says. Returns the milliseconds.
 */
export function addRawRows(path: string, store: string): { ms: number; by: string } {
  rmSync(store, { force: true });
  const startedAt = performance.now();
  const shell = spawnSync("sqlite3", [store, ".mode csv", `.import ${path} readings`], { encoding: "utf8" });
  if (shell.error === undefined) {
    if (shell.status !== 0) throw new Error(`sqlite3 failed: ${shell.stderr}`);
    return { ms: performance.now() - startedAt, by: "sqlite3 .import" };
  }
  return {
    ms: insertLines(path, store),
    by: "better-sqlite3 inserts (the sqlite3 shell is missing: install it to measure the goal)",
  };
}

function insertLines(path: string, store: string): number {
  const startedAt = performance.now();
  const database = new Database(store);
  const [header = "", ...lines] = readFileSync(path, "latin1").split("\n");
  const columns = header.split(",");
  database.exec(`CREATE TABLE readings (${columns.join(", ")})`);
  const insert = database.prepare(`INSERT INTO readings VALUES (${columns.map(() => "?").join(", ")})`);
  database.transaction(() => {
    for (const line of lines) if (line !== "") insert.run(...line.split(","));
  })();
  database.close();
  return performance.now() - startedAt;
}
