import { type Command, Option } from "commander";
import { z } from "zod";
import { type Program, print } from "@/app/_cli/command-context";
import { exitCodes } from "@/app/_cli/exit";
import { AppError } from "@/lib/kernel/errors";

const scopes = z.object({ site: z.string().optional(), portfolio: z.string().optional(), name: z.string() });
const listOptions = z.object({ format: z.enum(["text", "json"]) });

/** `keys add|list|revoke`: the keys with which sites send records to the server. */
export function addKeys(given: Program): Command {
  const keys = given.program.command("keys").description("keys with which sites send records: add, list, revoke");
  addAdd(keys, given);
  addList(keys, given);
  addRevoke(keys, given);
  return keys;
}

function addAdd(keys: Command, { withContext }: Program): void {
  keys
    .command("add")
    .description("make a key for one site or for all sites of a portfolio; its secret is shown this once")
    .option("--site <id>", "the site it may write to")
    .option("--portfolio <name>", "the portfolio whose sites it may write to")
    .requiredOption("--name <text>", "what the key is called, such as its sender")
    .action((given: unknown) =>
      withContext(async (context) => {
        const { createApiKey } = await import("@/lib/services/api-keys");
        const { key, secret } = await createApiKey(context, scopeOf(scopes.parse(given)));
        await print(`${secret}\n`);
        process.stderr.write(`key ${key.id} is made; keep its secret now, it is not shown again\n`);
        return exitCodes.done;
      }),
    );
}

function addList(keys: Command, { withContext }: Program): void {
  keys
    .command("list")
    .description("list the keys; no secret is shown")
    .addOption(new Option("--format <format>", "form of the list").choices(["text", "json"]).default("text"))
    .action((given: unknown) =>
      withContext(async (context) => {
        const { listApiKeys } = await import("@/lib/services/api-keys");
        const all = await listApiKeys(context);
        if (listOptions.parse(given).format === "json") {
          await print(`${JSON.stringify(all, null, 2)}\n`);
          return exitCodes.done;
        }
        for (const { id, name, scope, scopeId, createdAt, lastUsedAt, revokedAt } of all) {
          const used = lastUsedAt === null ? "never used" : `last used ${isoOf(lastUsedAt)}`;
          const state = revokedAt === null ? used : `${used}, revoked ${isoOf(revokedAt)}`;
          await print(`${id}  ${name}  (${scope} ${scopeId})  made ${isoOf(createdAt)}, ${state}\n`);
        }
        if (all.length === 0) await print("no keys yet\n");
        return exitCodes.done;
      }),
    );
}

function addRevoke(keys: Command, { withContext }: Program): void {
  keys
    .command("revoke")
    .description("revoke a key; what is sent with it from now on is refused")
    .argument("<id>", "number of the key")
    .action((id: string) =>
      withContext(async (context) => {
        const { revokeApiKey } = await import("@/lib/services/api-keys");
        if (!/^\d{1,15}$/.test(id)) throw new AppError("invalid_input", `'${id}' is not the number of a key`);
        const { name } = await revokeApiKey(context, { id: Number(id) });
        await print(`key ${id} (${name}) is revoked\n`);
        return exitCodes.done;
      }),
    );
}

function scopeOf({ site, portfolio, name }: z.infer<typeof scopes>) {
  if (site !== undefined && portfolio === undefined) return { scope: "site" as const, scopeId: site, name };
  if (site === undefined && portfolio !== undefined) return { scope: "portfolio" as const, scopeId: portfolio, name };
  throw new AppError("invalid_input", "name either --site or --portfolio, one of the two");
}

function isoOf(at: number): string {
  return new Date(at).toISOString();
}
