import { createHash } from "node:crypto";
import { beforeEach, describe, expect, it } from "vitest";
import { listApiKeys as listStored } from "@/db/queries/api-keys";
import { createApiKey, keyOfSecret, listApiKeys, revokeApiKey } from "@/lib/services/api-keys";
import type { Context } from "@/lib/services/context";
import { showKeys } from "@/lib/services/show-keys";
import { importTexts, makeContext, NOW } from "../../fixtures/import-folder";

const sitesFile = `site_id,name,latitude,longitude,time_zone,portfolio
S1,Harbour hall,60.17,24.94,Europe/Helsinki,North
S2,Depot,38.72,-9.14,Europe/Lisbon,
`;
let context: Context;
beforeEach(async () => {
  context = makeContext();
  await importTexts(context, { "sites.csv": sitesFile });
});
const forHarbour = { name: "Gateway", scope: "site", scopeId: "S1" } as const;

describe("keys with which sites send records", () => {
  it("show the secret once and keep only its SHA-256", async () => {
    const { key, secret } = await createApiKey(context, forHarbour);
    expect(key).toEqual({ id: 1, ...forHarbour, createdAt: NOW, lastUsedAt: null, revokedAt: null });
    expect(secret).toMatch(/^rafterline_[A-Za-z0-9_-]{43}$/); // 256 bits, six a character
    const [stored] = await listStored(context.store);
    expect(stored?.secretHash).toBe(createHash("sha256").update(secret).digest("hex"));
    const everything = JSON.stringify([await listApiKeys(context), await showKeys(context), stored]);
    expect(everything).not.toContain(secret.slice("rafterline_".length));
    expect(JSON.stringify(await listApiKeys(context))).not.toContain(stored?.secretHash);
  });

  it("have a secret of their own each", async () => {
    const secrets = await Promise.all(Array.from({ length: 20 }, () => createApiKey(context, forHarbour)));
    expect(new Set(secrets.map(({ secret }) => secret)).size).toBe(20);
  });

  it("are found by their secret until they are revoked, and by nothing else", async () => {
    const { key, secret } = await createApiKey(context, forHarbour);
    expect(await keyOfSecret(context, { secret })).toEqual(key);
    for (const wrong of ["", secret.slice(0, -1), `${secret} `, secret.toUpperCase(), "rafterline_"]) {
      expect(await keyOfSecret(context, { secret: wrong })).toBeNull();
    }
    const later = { ...context, now: NOW + 5_000 };
    expect(await revokeApiKey(later, { id: key.id })).toMatchObject({ revokedAt: NOW + 5_000 });
    expect(await keyOfSecret(context, { secret })).toBeNull();
    // A second time does not move the moment at which it ended.
    expect(await revokeApiKey({ ...context, now: NOW + 9_000 }, { id: key.id })).toMatchObject({
      revokedAt: NOW + 5_000,
    });
  });

  it.each([
    [{ name: " ", scope: "site", scopeId: "S1" }, { code: "invalid_input" }],
    [{ name: "x".repeat(101), scope: "site", scopeId: "S1" }, { code: "invalid_input" }],
    [
      { name: "G", scope: "site", scopeId: "S9" },
      { code: "not_found", message: /no site S9/ },
    ],
    [{ name: "G", scope: "site", scopeId: "North" }, { code: "not_found" }],
    [
      { name: "G", scope: "portfolio", scopeId: "South" },
      { code: "not_found", message: /portfolio South/ },
    ],
  ] as const)("are refused for %j", async (wish, failure) => {
    const thrown: unknown = await createApiKey(context, wish).catch((one: unknown) => one);
    expect(thrown).toMatchObject({ code: failure.code });
    if ("message" in failure) expect(String(thrown)).toMatch(failure.message);
    expect(await listApiKeys(context)).toEqual([]);
  });

  it("are offered for sites and portfolios there are, revoked ones last", async () => {
    await createApiKey(context, forHarbour);
    await createApiKey(context, { name: "Office", scope: "portfolio", scopeId: "North" });
    await revokeApiKey(context, { id: 1 });
    const view = await showKeys(context);
    expect(view.keys.map(({ id }) => id)).toEqual([2, 1]);
    expect(view.portfolios).toEqual(["North"]);
    expect(view.sites.map(({ siteId }) => siteId)).toEqual(["S1", "S2"]);
  });

  it("are managed by nobody without the right", async () => {
    const sender: Context = { ...context, permissions: new Set(["import", "see"]) };
    for (const verb of [
      () => createApiKey(sender, forHarbour),
      () => listApiKeys(sender),
      () => revokeApiKey(sender, { id: 1 }),
      () => showKeys(sender),
    ]) {
      await expect(verb()).rejects.toMatchObject({ code: "forbidden" });
    }
    await expect(revokeApiKey(context, { id: 7 })).rejects.toMatchObject({ code: "not_found" });
  });
});
