import { integer, primaryKey, sqliteTable, text } from "drizzle-orm/sqlite-core";

/** Keys with which sites send records; the secret itself is not kept, only its SHA-256 in hex. */
export const apiKeys = sqliteTable("api_keys", {
  key: integer().primaryKey({ autoIncrement: true }),
  name: text().notNull(),
  secretHash: text("secret_hash").notNull().unique(),
  /** What it may write to: one site, or all sites of a portfolio. */
  scope: text({ enum: ["site", "portfolio"] }).notNull(),
  scopeId: text("scope_id").notNull(),
  createdAt: integer("created_at").notNull(),
  lastUsedAt: integer("last_used_at"),
  revokedAt: integer("revoked_at"),
});

/** Answers that were given to requests with an idempotency key, so that a second try gets the same. */
export const apiAnswers = sqliteTable(
  "api_answers",
  {
    apiKey: integer("api_key")
      .notNull()
      .references(() => apiKeys.key),
    idempotencyKey: text("idempotency_key").notNull(),
    /** SHA-256 of method, path and body in hex: the same key with another request is refused. */
    requestHash: text("request_hash").notNull(),
    status: integer().notNull(),
    body: text().notNull(),
    answeredAt: integer("answered_at").notNull(),
  },
  (table) => [primaryKey({ columns: [table.apiKey, table.idempotencyKey] })],
);
