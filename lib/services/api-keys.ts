import { createHash, randomBytes } from "node:crypto";
import {
  addApiKey,
  findApiKey,
  listApiKeys as listStoredKeys,
  revokeApiKey as revokeStoredKey,
  type StoredApiKey,
} from "@/db/queries/api-keys";
import { listSites } from "@/db/queries/sites";
import { AppError } from "@/lib/kernel/errors";
import type { Context } from "@/lib/services/context";
import { requirePermission } from "@/lib/services/permissions";

/** What a key may write to: the records of one site, or of all sites of a portfolio. */
export type KeyScope = { readonly scope: "site" | "portfolio"; readonly scopeId: string };

/** A key as it is shown; moments are Instants, null for never. */
export type ApiKeyView = KeyScope & {
  readonly id: number;
  readonly name: string;
  readonly createdAt: number;
  readonly lastUsedAt: number | null;
  readonly revokedAt: number | null;
};

/** What every secret begins with, so that a leaked one is recognised in a log or a repository. */
export const SECRET_PREFIX = "rafterline_";

const SECRET_BYTES = 32;
const NAME_LIMIT = 100;

/**
 * Makes a key; the answer is the only place where its secret is ever shown (256 random bits, kept as SHA-256).
 *
 * @throws AppError not_found when no site has this id or portfolio, invalid_input when the name is empty or too long
 */
export async function createApiKey(
  context: Context,
  { name, scope, scopeId }: KeyScope & { name: string },
): Promise<{ key: ApiKeyView; secret: string }> {
  requirePermission(context, "manage_keys");
  const known = name.trim().replace(/\s+/g, " ");
  if (known === "" || known.length > NAME_LIMIT) {
    throw new AppError("invalid_input", `a key needs a name of at most ${NAME_LIMIT} characters, such as its sender's`);
  }
  const sites = await listSites(context.store);
  if (!sites.some((site) => (scope === "site" ? site.siteId : site.portfolio) === scopeId)) {
    const hint = "import its sites file first, or correct the name";
    const what = scope === "site" ? `there is no site ${scopeId}` : `no site belongs to a portfolio ${scopeId}`;
    throw new AppError("not_found", `${what}; ${hint}`);
  }
  const secret = SECRET_PREFIX + randomBytes(SECRET_BYTES).toString("base64url");
  const createdAt = context.now;
  const stored = await addApiKey(context.store, {
    name: known,
    secretHash: hashOfSecret(secret),
    scope,
    scopeId,
    createdAt,
  });
  return { key: viewOf(stored), secret };
}

/** All keys in the order they were made, revoked ones too; never a secret. */
export async function listApiKeys(context: Context): Promise<readonly ApiKeyView[]> {
  requirePermission(context, "manage_keys");
  return (await listStoredKeys(context.store)).map(viewOf);
}

/**
 * Revokes a key at once; one that is revoked already stays as it is.
 *
 * @throws AppError not_found when there is no key of this number
 */
export async function revokeApiKey(context: Context, { id }: { id: number }): Promise<ApiKeyView> {
  requirePermission(context, "manage_keys");
  const revoked = await revokeStoredKey(context.store, { key: id, at: context.now });
  if (!revoked) throw new AppError("not_found", `there is no key ${id}; rafterline keys list shows their numbers`);
  return viewOf(revoked);
}

/**
 * The key a secret belongs to; null when it is none of ours or revoked, without a difference.
 *
 * The secret is looked up by its hash, so no comparison runs over the secret itself and time tells nothing of it.
 */
export async function keyOfSecret(context: Context, { secret }: { secret: string }): Promise<ApiKeyView | null> {
  requirePermission(context, "import");
  const found = await findApiKey(context.store, { secretHash: hashOfSecret(secret) });
  return found ? viewOf(found) : null;
}

function hashOfSecret(secret: string): string {
  return createHash("sha256").update(secret).digest("hex");
}

function viewOf({ key, name, scope, scopeId, createdAt, lastUsedAt, revokedAt }: StoredApiKey): ApiKeyView {
  return { id: key, name, scope, scopeId, createdAt, lastUsedAt, revokedAt };
}
