import { z } from "zod";
import { type ColumnRule, calendarOrders, type MappingDraft, mappingDraftSchema } from "@/lib/import/mapping/mapping";
import { tableChoicesSchema } from "@/lib/import/table/table-format";
import { AppError } from "@/lib/kernel/errors";
import { fileKinds } from "@/lib/records/files";
import type { ReadChoices } from "@/lib/services/import/file-to-import";

/** A file of an import by its name, with how it is to be read. */
export type PlannedFile = { readonly name: string } & ReadChoices;

/** Name and version of a saved mapping. */
export type MappingName = { readonly name: string; readonly version: number };

/** How a file that waits to be imported is to be read, as far as a person said so. */
export type StagedReading = {
  readonly draft: MappingDraft;
  /** The saved mapping that the draft is; null for one that was changed since or never saved. */
  readonly saved: MappingName | null;
  /** Whether the person has said that the file is to be read so; until then the draft is only kept. */
  readonly settled: boolean;
};

/** How to look at a file: by a draft, a saved mapping, or a guess for which some of the format or the kind is given. */
export const lookSchema = z.strictObject({
  draft: mappingDraftSchema.nullable().default(null),
  saved: z.string().max(200).nullable().default(null),
  kind: z.enum(fileKinds).optional(),
  table: tableChoicesSchema.default({}),
});

/** See {@link lookSchema}. */
export type Look = z.infer<typeof lookSchema>;

/** A look as it was sent; throws AppError invalid_input with what is wrong. */
export function readLook(sent: unknown): Look {
  const parsed = lookSchema.safeParse(sent);
  if (parsed.success) return parsed.data;
  throw new AppError("invalid_input", parsed.error.issues.map(issueWords).join("; "));
}

/** What is wrong with a part of a document, and where. */
export function issueWords({ path, message }: { path: readonly PropertyKey[]; message: string }): string {
  return path.length === 0 ? message : `${path.map(String).join(".")}: ${message}`;
}

/** An answer to what a file asks: the order of its dates, or its decimal sign, in some columns of ours. */
export type Answer = {
  readonly about: "dates" | "decimal";
  readonly ours: readonly string[];
  readonly answer: string;
};

/** A draft with an answer in it; throws AppError invalid_input for one that is none of those offered. */
export function withAnswer(draft: MappingDraft, { about, ours, answer }: Answer): MappingDraft {
  const order = calendarOrders.find((one) => one === answer);
  const decimal = answer === "point" || answer === "comma" ? answer : undefined;
  if (about === "dates" ? order === undefined : decimal === undefined) {
    throw new AppError("invalid_input", `'${answer}' is no answer to what was asked`);
  }
  const columns = Object.entries(draft.columns).map(([column, rule]): [string, ColumnRule] => {
    const { read } = rule;
    if (!ours.includes(column)) return [column, rule];
    if (read.as === "moment" && order) return [column, { ...rule, read: { ...read, order } }];
    if (read.as === "number" && decimal) return [column, { ...rule, read: { ...read, decimal } }];
    return [column, rule];
  });
  return { ...draft, columns: Object.fromEntries(columns) };
}
