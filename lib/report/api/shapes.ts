import { z } from "zod";

/** Kinds of records that can be sent; sites and detectors come by the page or the command line. */
export const sentKinds = ["readings", "events", "work"] as const;
/** One of {@link sentKinds}. */
export type SentKind = (typeof sentKinds)[number];

const count = z.number().int().min(0);

/** Why one row did not go in. */
export const rowErrorSchema = z.object({
  line: count
    .nullable()
    .describe("Line of the body, the header of a CSV being line 1; null when it is not about a line"),
  column: z.string().nullable().describe("Column that is wrong; null when it is not about one"),
  value: z.string().nullable().describe("What was sent there, cut when it is long"),
  reason: z.string().describe("What is wrong and what to do, in words"),
});

const counts = {
  import: count.describe("Number of the import, by which it is found on the page and can be taken back"),
  kind: z.enum(sentKinds).describe("Kind of the records"),
  rows: count.describe("Rows of the body; accepted + duplicates + conflicts + refused + waiting + leftOut"),
  accepted: count.describe("Rows that went in"),
  replaced: count.describe("Accepted rows that took the place of stored ones"),
  duplicates: count.describe("Rows that were there already, just so"),
  conflicts: count.describe("Rows whose key is stored with other values; the stored ones stay"),
  refused: count.describe("Rows that are wrong, or name a detector this key may not write to"),
  waiting: count.describe("Rows that wait for a detector; none with a key, since such rows are refused"),
  leftOut: count.describe("Rows the mapping leaves out on purpose"),
  note: z
    .string()
    .nullable()
    .describe("How the body was read, where the sender should know it, such as columns that are not used"),
  errors: z.array(rowErrorSchema).describe("The first rows that were refused or are in conflict, by line"),
  moreErrors: count.describe("How many such rows are not listed"),
};

/** The answer to rows that were received: what became of each. */
export const answerSchema = z.object(counts);

/** A problem as RFC 9457 has it; one of rows also says what became of each. */
export const problemSchema = z.looseObject({
  type: z.string().describe("Address of a page about this kind of problem, relative to the server"),
  title: z.string().describe("The kind of problem in a few words, always the same"),
  status: z.number().int().min(400).max(599).describe("HTTP status"),
  detail: z.string().describe("What is wrong this time and what to do"),
  instance: z.string().describe("Path of the request"),
  ...z.object(counts).partial().shape,
});

/** See {@link rowErrorSchema}. */
export type RowError = z.infer<typeof rowErrorSchema>;
/** See {@link answerSchema}. */
export type ApiAnswer = z.infer<typeof answerSchema>;
/** See {@link problemSchema}. */
export type ApiProblem = z.infer<typeof problemSchema>;
