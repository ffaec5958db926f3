import { z } from "zod";
import { dateOrders, mappingSchema } from "@/lib/import/mapping/mapping";
import { tableChoicesSchema } from "@/lib/import/table/table-format";
import { fileKinds } from "@/lib/records/files";

/** How a sender says a file is to be read; whatever is left out is found out from the file. */
export const readChoicesSchema = z.strictObject({
  /** What the file must hold; a file of another kind is refused. */
  kind: z.enum(fileKinds).optional(),
  mapping: mappingSchema.optional(),
  /** Key of the version under which that mapping is saved. */
  mappingVersionKey: z.number().int().positive().optional(),
  table: tableChoicesSchema.optional(),
  /** Order of dates in columns whose mapping leaves it open. */
  dates: z.enum(dateOrders).optional(),
  /** Decimal sign in columns whose mapping leaves it open. */
  decimal: z.enum(["point", "comma"]).optional(),
});

/** See {@link readChoicesSchema}. */
export type ReadChoices = z.infer<typeof readChoicesSchema>;

/** A file to import: the name it is reported under, where it stands, and how it is to be read. */
export type FileToImport = { readonly name: string; readonly path: string } & ReadChoices;
