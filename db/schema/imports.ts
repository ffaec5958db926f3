import { blob, index, integer, primaryKey, sqliteTable, text } from "drizzle-orm/sqlite-core";
import { mappingVersions, type StoredDocument } from "@/db/schema/mappings";
import { fileKinds } from "@/lib/records/files";

/** Imports: one row a call, taken back whole or not at all. */
export const imports = sqliteTable("imports", {
  id: integer().primaryKey({ autoIncrement: true }),
  importedAt: integer("imported_at").notNull(),
  replaces: integer({ mode: "boolean" }).notNull(),
  takenBackAt: integer("taken_back_at"),
});

/** The files of an import, in the order they were given. `kind` is null for a file that could not be read. */
export const importFiles = sqliteTable(
  "import_files",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    importId: integer("import_id")
      .notNull()
      .references(() => imports.id),
    position: integer().notNull(),
    name: text().notNull(),
    kind: text({ enum: fileKinds }),
    fold: text({ enum: ["refuse", "first", "second"] }).notNull(),
    header: text({ mode: "json" }).$type<string[]>().notNull(),
    note: text(),
    /** How the file was cut into cells; null for one of before this was kept, or that could not be read. */
    format: text({ mode: "json" }).$type<StoredDocument>(),
    /** The mapping as it was applied, its open questions settled; null for a canonical file. */
    mapping: text({ mode: "json" }).$type<StoredDocument>(),
    /** The saved mapping that was used; null when there was none or it was not saved. */
    mappingVersionKey: integer("mapping_version_key").references(() => mappingVersions.key),
    rows: integer().notNull().default(0),
    accepted: integer().notNull().default(0),
    replaced: integer().notNull().default(0),
    duplicates: integer().notNull().default(0),
    conflicts: integer().notNull().default(0),
    refused: integer().notNull().default(0),
    waiting: integer().notNull().default(0),
    leftOut: integer("left_out").notNull().default(0),
  },
  (table) => [index("import_files_by_import").on(table.importId)],
);

/** Refused rows (and, for a file that could not be read, the reason), with the cells as they came. */
export const importRejects = sqliteTable(
  "import_rejects",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    fileKey: integer("file_key")
      .notNull()
      .references(() => importFiles.key),
    line: integer(),
    column: text(),
    value: text(),
    reason: text().notNull(),
    /** Whether the mapping says that such rows are not wanted; false for a row that is wrong. */
    leftOut: integer("left_out", { mode: "boolean" }).notNull().default(false),
    cells: text({ mode: "json" }).$type<string[]>().notNull(),
  },
  (table) => [index("import_rejects_by_file").on(table.fileKey, table.line)],
);

/** Good rows that name a site or detector not known yet, in portions; taken in by the import that brings it. */
export const waitingRows = sqliteTable(
  "waiting_rows",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    fileKey: integer("file_key")
      .notNull()
      .references(() => importFiles.key),
    waitsFor: text("waits_for", { enum: ["site", "detector"] }).notNull(),
    waitsForId: text("waits_for_id").notNull(),
    count: integer().notNull(),
    firstLine: integer("first_line").notNull(),
    rows: blob({ mode: "buffer" }).notNull(),
  },
  (table) => [
    index("waiting_rows_by_id").on(table.waitsFor, table.waitsForId),
    index("waiting_rows_by_file").on(table.fileKey),
  ],
);

/** Rows whose key was stored with other values: what differs, as it stood and as it was sent. */
export const importConflicts = sqliteTable(
  "import_conflicts",
  {
    key: integer().primaryKey({ autoIncrement: true }),
    fileKey: integer("file_key")
      .notNull()
      .references(() => importFiles.key),
    line: integer().notNull(),
    replaced: integer({ mode: "boolean" }).notNull(),
    identity: text({ mode: "json" }).$type<Record<string, string>>().notNull(),
    stored: text({ mode: "json" }).$type<Record<string, string | number | boolean | null>>().notNull(),
    sent: text({ mode: "json" }).$type<Record<string, string | number | boolean | null>>().notNull(),
  },
  (table) => [index("import_conflicts_by_file").on(table.fileKey, table.line)],
);

/** Words of a file that its mapping does not know, with the column of ours they stood for and how often they came. */
export const unmappedWords = sqliteTable(
  "unmapped_words",
  {
    fileKey: integer("file_key")
      .notNull()
      .references(() => importFiles.key),
    column: text().notNull(),
    word: text().notNull(),
    count: integer().notNull(),
  },
  (table) => [primaryKey({ columns: [table.fileKey, table.column, table.word] })],
);
