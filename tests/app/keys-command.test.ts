import { spawnSync } from "node:child_process";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, it } from "vitest";
import { openStore } from "@/db/client";
import { importTexts, makeContext, someOf } from "../fixtures/import-folder";

const root = fileURLToPath(new URL("../..", import.meta.url));

function keys(store: string, ...args: readonly string[]) {
  const all = ["--import", "tsx", join(root, "app/_cli/main.ts"), "--db", store, "keys", ...args];
  const { status, stdout, stderr } = spawnSync(process.execPath, all, { cwd: root, encoding: "utf8" });
  return { exit: status, out: stdout, err: stderr };
}

it("rafterline keys: makes a key whose secret alone is on stdout, lists and revokes it", {
  timeout: 180_000,
}, async () => {
  const file = join(mkdtempSync(join(tmpdir(), "rafterline-keys-")), "store.sqlite");
  const store = openStore(file);
  await importTexts(makeContext({ store }), someOf("sites.csv"));
  store.close();

  const made = keys(file, "add", "--site", "S1", "--name", "Gateway");
  expect(made).toMatchObject({ exit: 0, out: expect.stringMatching(/^rafterline_[\w-]{43}\n$/) });
  expect(made.err).toContain("not shown again");
  const listed = keys(file, "list");
  expect(listed.out).toMatch(/^1 {2}Gateway {2}\(site S1\) {2}made \S+Z, never used\n$/);
  expect(listed.out).not.toContain(made.out.trim());
  expect(keys(file, "revoke", "1")).toMatchObject({ exit: 0, out: "key 1 (Gateway) is revoked\n" });
  expect(JSON.parse(keys(file, "list", "--format", "json").out)).toMatchObject([
    { id: 1, revokedAt: expect.any(Number) },
  ]);
  const both = keys(file, "add", "--site", "S1", "--portfolio", "North", "--name", "x");
  expect(both).toMatchObject({ exit: 2, out: "", err: expect.stringMatching(/one of the two/) });
  expect(keys(file, "revoke", "9")).toMatchObject({ exit: 2, err: expect.stringMatching(/there is no key 9/) });
});
