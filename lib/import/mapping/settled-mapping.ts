import { z } from "zod";
import { mappingSchema } from "@/lib/import/mapping/mapping";

/** A mapping as it was applied to one file: its questions settled, and which way the file's rows go in time. */
export const settledMappingSchema = z.strictObject({
  mapping: mappingSchema,
  rowOrder: z.enum(["ascending", "descending"]),
});

/** See {@link settledMappingSchema}. */
export type SettledMapping = z.infer<typeof settledMappingSchema>;
