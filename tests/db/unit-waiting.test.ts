import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import { describe, expect, it } from "vitest";
import { connect, openStore } from "@/db/client";
import { inUnit } from "@/db/unit";

const newFile = () => join(mkdtempSync(join(tmpdir(), "rafterline-unit-")), "store.sqlite");

describe("a unit that another connection keeps waiting", () => {
  it("lets the rest of the process go on meanwhile, and begins once the other has ended", async () => {
    const store = openStore(newFile());
    const other = connect(store.file);
    other.sqlite.exec("BEGIN IMMEDIATE");
    let ticks = 0;
    const ticking = setInterval(() => {
      ticks += 1;
    }, 10);
    const unit = inUnit(store, async () => ticks);
    await sleep(300);
    other.sqlite.exec("COMMIT");
    const ticksBefore = await unit;
    clearInterval(ticking);
    // 30 ticks fit into 300 ms; a wait inside SQLite would have let through none.
    expect(ticksBefore).toBeGreaterThan(5);
    other.close();
    store.close();
  });

  it("gives up after five seconds and says that the store is being written", async () => {
    const store = openStore(newFile());
    const other = connect(store.file);
    other.sqlite.exec("BEGIN IMMEDIATE");
    await expect(inUnit(store, async () => 1)).rejects.toMatchObject({ code: "conflict", busy: true });
    other.sqlite.exec("ROLLBACK");
    expect(await inUnit(store, async () => 1)).toBe(1);
    other.close();
    store.close();
  });
});
