import { z } from "zod";
import { formOfColumn, unitsOf } from "@/lib/import/mapping/units";
import { tableChoicesSchema } from "@/lib/import/table/table-format";
import { isTimeZone } from "@/lib/kernel/time";
import { columnsOf, fileKinds, requiredColumnsOf } from "@/lib/records/files";

/** Orders in which a date names year, month and day; ISO is year first. */
export const calendarOrders = ["year_first", "day_first", "month_first"] as const;
/** Ways a moment may be written: a date in one of the orders, or a count since 1970 in UTC, which is never guessed. */
export const dateOrders = [...calendarOrders, "unix_seconds", "unix_milliseconds"] as const;
/** Units a number may come in; each is one of those its column allows (see `units.ts`). */
export const numberUnits = [
  "percent",
  "share",
  "obscuration_percent",
  "decibel",
  "decibel_gain",
  "counts",
  "celsius",
  "fahrenheit",
  "metre",
  "foot",
  "minute",
  "hour",
  "degree",
  "number",
] as const;

const NAME_LIMIT = 200;
const COLUMNS_LIMIT = 1_000;
const columnName = z.string().min(1).max(NAME_LIMIT);

/** A piece of a cell of ours: what stands in one of theirs, its digits filled up with zeros to `width`, or a fixed text. */
export const partSchema = z.union([
  z.strictObject({ column: columnName, width: z.number().int().min(1).max(20).optional() }),
  z.strictObject({ text: z.string().max(200) }),
]);

/** How the text of a cell is read. */
export const readingSchema = z.discriminatedUnion("as", [
  z.strictObject({ as: z.literal("text") }),
  z.strictObject({
    as: z.literal("moment"),
    /** Null: decided from the file's own evidence, refused when it shows none. */
    order: z.enum(dateOrders).nullable(),
    /** Zone of times without an offset: the site's, or one that is named. */
    zone: z
      .string()
      .refine((zone) => zone === "site" || isTimeZone(zone), "is not a time zone; use 'site' or an IANA name"),
  }),
  z.strictObject({
    as: z.literal("number"),
    /** Null: decided from the file's own evidence. */
    decimal: z.enum(["point", "comma"]).nullable(),
    unit: z.enum(numberUnits),
    /** Counts that stand for 100 %; with `counts` only. */
    fullScale: z.number().positive().optional(),
  }),
  z.strictObject({
    as: z.literal("words"),
    /** Whether a word must be the whole cell, or stand somewhere in it; capitals and runs of blanks do not matter. */
    match: z.enum(["whole", "inside"]),
    /** Their words and ours, in the order in which they are tried; null leaves the cell empty. */
    words: z
      .array(z.strictObject({ theirs: z.string().min(1).max(200), ours: z.string().max(100).nullable() }))
      .max(2_000),
    /** What a cell with none of the words gives: its row is refused or left out, or the cell gets one word of ours. */
    otherwise: z.union([
      z.strictObject({ do: z.enum(["refuse", "leave_out"]) }),
      z.strictObject({ do: z.literal("use"), ours: z.string().max(100).nullable() }),
    ]),
  }),
]);

/** How one column of ours is made. */
export const columnRuleSchema = z.strictObject({ parts: z.array(partSchema).min(1).max(20), read: readingSchema });

/**
 * A mapping that may still lack columns it needs: what a guess gives and an editor changes.
 *
 * Two columns beside those of the file kind steer what becomes of a row: `row` gives `keep` or `leave_out`; `phase`, in
 * events only, gives `whole` (the row is an event), `begin` or `end` (two rows make one event).
 */
export const mappingDraftSchema = z.strictObject({
  form: z.literal(1),
  kind: z.enum(fileKinds),
  table: tableChoicesSchema,
  columns: z.record(z.string(), columnRuleSchema),
  /** Names of all columns of the file it was made for; a file with just these may be read by it unasked. */
  madeFor: z.array(columnName).max(COLUMNS_LIMIT),
});

/** A mapping: how a foreign table becomes one of the five canonical files. */
export const mappingSchema = mappingDraftSchema.superRefine(({ kind, columns }, context) => {
  const known = [...columnsOf(kind), "row", ...(kind === "events" ? ["phase"] : [])];
  for (const column of Object.keys(columns).filter((one) => !known.includes(one))) {
    context.addIssue({ code: "custom", path: ["columns", column], message: `is no column of ${kind}.csv` });
  }
  for (const column of unmadeColumns({ kind, columns })) {
    const message = `is needed by ${kind}.csv; say which column it is`;
    context.addIssue({ code: "custom", path: ["columns", column], message });
  }
  for (const [column, rule] of Object.entries(columns)) {
    const message = flawOfRule(column, rule);
    if (message !== null) context.addIssue({ code: "custom", path: ["columns", column, "read"], message });
  }
});

/** The columns of a file that a mapping can name: overlong names are text that is no header. */
export function nameable(columns: readonly string[]): string[] {
  return columns.filter((name) => name !== "" && name.length <= NAME_LIMIT).slice(0, COLUMNS_LIMIT);
}

/** Columns of ours that a mapping needs and says nothing of, in the order of the file. */
export function unmadeColumns({ kind, columns }: Pick<MappingDraft, "kind" | "columns">): string[] {
  return requiredColumnsOf(kind).filter((column) => columns[column] === undefined);
}

/** What is wrong with the way a column is read, in words; null when nothing is. */
function flawOfRule(column: string, { read }: z.infer<typeof columnRuleSchema>): string | null {
  const form = formOfColumn(column);
  if (read.as === "number") {
    const units = unitsOf(column);
    if (units.length === 0) return "is not a number; read it as text, words or a moment";
    if (!units.includes(read.unit)) return `cannot come in ${read.unit}; choose one of ${units.join(", ")}`;
    if (read.unit === "counts" && read.fullScale === undefined) return "comes in counts; say which count is 100 %";
    if (read.unit !== "counts" && read.fullScale !== undefined) return "has a full scale, which only counts have";
  }
  if (read.as === "moment" && form !== "moment" && form !== "day" && form !== "clock") return "is not a moment";
  return null;
}

/** See {@link mappingDraftSchema}. */
export type MappingDraft = z.infer<typeof mappingDraftSchema>;
/** See {@link mappingSchema}. */
export type Mapping = z.infer<typeof mappingSchema>;
/** See {@link columnRuleSchema}. */
export type ColumnRule = z.infer<typeof columnRuleSchema>;
/** See {@link partSchema}. */
export type Part = z.infer<typeof partSchema>;
/** See {@link readingSchema}. */
export type CellReading = z.infer<typeof readingSchema>;
/** One of {@link calendarOrders}. */
export type CalendarOrder = (typeof calendarOrders)[number];
/** One of {@link dateOrders}. */
export type DateOrder = (typeof dateOrders)[number];
/** One of {@link numberUnits}. */
export type NumberUnit = (typeof numberUnits)[number];
