import { integer, sqliteTable, text, uniqueIndex } from "drizzle-orm/sqlite-core";

/** A document of JSON whose shape the floor above knows; it is parsed again when it is read. */
export type StoredDocument = { readonly [name: string]: unknown };

/** Saved mappings by name; `retiredAt` marks one that is not offered any more. */
export const mappings = sqliteTable("mappings", {
  key: integer().primaryKey({ autoIncrement: true }),
  name: text().notNull().unique(),
  createdAt: integer("created_at").notNull(),
  retiredAt: integer("retired_at"),
});

/** Versions of a saved mapping, from 1; a version never changes. */
export const mappingVersions = sqliteTable(
  "mapping_versions",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    mappingKey: integer("mapping_key")
      .notNull()
      .references(() => mappings.key),
    version: integer().notNull(),
    savedAt: integer("saved_at").notNull(),
    /** Names of the columns it was made for, in the form they are compared in, sorted and joined: to find it by a file. */
    madeFor: text("made_for").notNull(),
    document: text({ mode: "json" }).$type<StoredDocument>().notNull(),
  },
  (table) => [uniqueIndex("mapping_versions_by_number").on(table.mappingKey, table.version)],
);
