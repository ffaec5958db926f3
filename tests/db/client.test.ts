import { existsSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { beforeEach, describe, expect, it } from "vitest";
import { openStore } from "@/db/client";
import { dataVersion, raiseDataVersion } from "@/db/queries/data-version";
import { inSavepoint, inUnit } from "@/db/unit";

let folder = "";
const file = (name = "store.sqlite") => join(folder, name);

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "rafterline-store-"));
});

describe("opening a store", () => {
  it("creates and migrates it on first use, and finds it as it was left on the second", async () => {
    const first = openStore(file());
    await inUnit(first, raiseDataVersion);
    first.close();
    const second = openStore(file());
    expect(await dataVersion(second)).toBe(1);
    expect(second.sqlite.pragma("journal_mode", { simple: true })).toBe("wal");
    expect(second.sqlite.pragma("synchronous", { simple: true })).toBe(2); // FULL
    expect(second.sqlite.pragma("foreign_keys", { simple: true })).toBe(1);
    second.close();
  });

  it("refuses a folder that is not there, a folder, and a file that is no store, and leaves them untouched", () => {
    expect(() => openStore(join(folder, "none", "store.sqlite"))).toThrow(
      /the folder .*none does not exist; create it/,
    );
    expect(existsSync(join(folder, "none"))).toBe(false);
    expect(() => openStore(folder)).toThrow(/is a folder; name a file/);
    writeFileSync(file("notes.txt"), "just some text that is longer than a header");
    expect(() => openStore(file("notes.txt"))).toThrow(/is not a Rafterline store/);
    const other = new Database(file("other.sqlite"));
    other.exec("CREATE TABLE addresses (name text)");
    other.close();
    expect(() => openStore(file("other.sqlite"))).toThrow(/is a database of another program/);
  });

  it("refuses a store that a newer version wrote", () => {
    const store = openStore(file());
    store.sqlite.exec("INSERT INTO rafterline_migrations (hash, created_at) VALUES ('x', 99999999999999)");
    store.close();
    expect(() => openStore(file())).toThrow(/written by a newer version/);
  });

  it("leaves the store as before when a migration fails", () => {
    const store = openStore(file());
    // As if an older version had made the store: the migrations run again and meet tables that are there.
    store.sqlite.exec("DELETE FROM rafterline_migrations; INSERT INTO counters VALUES ('data_version', 7)");
    const tables = store.sqlite.prepare("SELECT sql FROM sqlite_schema ORDER BY name").all();
    store.close();
    expect(() => openStore(file())).toThrow(/already exists/);
    const raw = new Database(file());
    expect(raw.prepare("SELECT sql FROM sqlite_schema ORDER BY name").all()).toEqual(tables);
    expect(raw.prepare("SELECT value FROM counters").pluck().get()).toBe(7);
    raw.close();
  });
});

describe("a unit of work", () => {
  it("is not seen by readers before its end, and not at all when it fails", async () => {
    const store = openStore(file());
    await inUnit(store, async (unit) => {
      await raiseDataVersion(unit);
      expect([await dataVersion(unit), await dataVersion(store)]).toEqual([1, 0]);
    });
    expect(await dataVersion(store)).toBe(1);
    const failing = inUnit(store, async (unit) => {
      await raiseDataVersion(unit);
      throw new Error("no");
    });
    await expect(failing).rejects.toThrow("no");
    expect(await dataVersion(store)).toBe(1);
    store.close();
  });

  it("waits for the one before it, from whatever handle of the same file it comes", async () => {
    const [one, other] = [openStore(file()), openStore(file())];
    const units = Array.from({ length: 20 }, (_, index) => inUnit(index % 2 === 0 ? one : other, raiseDataVersion));
    await Promise.all(units);
    expect(await dataVersion(one)).toBe(20);
    one.close();
    other.close();
  });

  it("says what to do when the store is read-only, full or damaged, and leaves it as it was", async () => {
    const store = openStore(file());
    const failing = (sql: string) =>
      inUnit(store, async (unit) => {
        await raiseDataVersion(unit);
        unit.sqlite.exec(sql);
      });
    const fill = "CREATE TABLE filler (x); INSERT INTO filler VALUES (zeroblob(1000000))";
    await expect(failing(`PRAGMA max_page_count = 1; ${fill}`)).rejects.toThrow(/disk is full; nothing was changed/);
    await expect(failing("PRAGMA query_only = 1; DELETE FROM counters")).rejects.toThrow(/check the rights/);
    expect(await dataVersion(store)).toBe(0);
    store.close();
    const bytes = readFileSync(file());
    writeFileSync(file(), bytes.fill(7, 4096, bytes.length));
    expect(() => openStore(file())).toThrow(/is damaged; put a copy of it in its place/);
  });

  it("undoes only the part that failed", async () => {
    const store = openStore(":memory:");
    await inUnit(store, async (unit) => {
      await raiseDataVersion(unit);
      const part = inSavepoint(unit, async () => {
        await raiseDataVersion(unit);
        throw new Error("no");
      });
      await expect(part).rejects.toThrow("no");
    });
    expect(await dataVersion(store)).toBe(1);
  });
});
