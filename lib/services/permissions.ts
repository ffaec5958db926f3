import { AppError } from "@/lib/kernel/errors";

/** What a person may be allowed to do. */
export const permissions = ["see", "import", "take_back", "analyse", "change_settings", "manage_keys"] as const;

/** One of {@link permissions}. */
export type Permission = (typeof permissions)[number];

/** Line one of each verb: throws `forbidden` unless the context holds the permission. */
export function requirePermission(context: { readonly permissions: ReadonlySet<Permission> }, permission: Permission) {
  if (!context.permissions.has(permission)) throw new AppError("forbidden", `this needs the right '${permission}'`);
}
