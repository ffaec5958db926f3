import { z } from "zod";

/** Text encodings a table may be written in. */
export const encodings = ["utf-8", "utf-16le", "utf-16be", "windows-1252"] as const;
/** Characters that may stand between the cells of a line. */
export const separators = [",", ";", "\t", "|"] as const;

/** How the bytes of a file are cut into cells, as it was found or chosen. */
export const tableFormatSchema = z.object({
  /** Whether the file came packed by gzip. */
  packed: z.boolean(),
  form: z.enum(["separated", "json_lines", "workbook"]),
  /** Null in a workbook. */
  encoding: z.enum(encodings).nullable(),
  /** Null but in separated text. */
  separator: z.enum(separators).nullable(),
  /** Name of the sheet of a workbook; null otherwise. */
  sheet: z.string().nullable(),
  /** Line (row of a sheet) that names the columns, from 1; 0 when none does and columns are numbered. */
  headerLine: z.number().int().min(0).max(1_000),
});

/** What a sender may fix of the format; what is left out is found out from the file. */
export const tableChoicesSchema = z.object({
  encoding: z.enum(encodings).optional(),
  separator: z.enum(separators).optional(),
  sheet: z.string().min(1).max(200).optional(),
  headerLine: z.number().int().min(0).max(1_000).optional(),
});

/** One of {@link encodings}. */
export type Encoding = (typeof encodings)[number];
/** One of {@link separators}. */
export type Separator = (typeof separators)[number];
/** See {@link tableFormatSchema}. */
export type TableFormat = z.infer<typeof tableFormatSchema>;
/** See {@link tableChoicesSchema}. */
export type TableChoices = z.infer<typeof tableChoicesSchema>;
